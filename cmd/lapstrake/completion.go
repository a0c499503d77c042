// Prints what makes a shell complete the program's commands and options.

package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/pflag"
)

// completions write the completion for each shell.
var completions = map[string]func(io.Writer, []command){
	"bash": writeBashCompletion,
	"fish": writeFishCompletion,
	"zsh":  writeZshCompletion,
}

func completionCommand() command {
	return command{
		name: "completion", words: "bash|zsh|fish",
		summary: "print the completion for a shell",
		about: `Prints a script that makes a shell complete the commands and options of lapstrake when
you press Tab. "make install" puts the scripts where the shells look for them. To try one
in bash: source <(lapstrake completion bash)`,
		example: "lapstrake completion bash > ~/.local/share/bash-completion/completions/lapstrake",
		setup: func(*pflag.FlagSet) func(streams, []string) error {
			return printCompletion
		},
	}
}

func printCompletion(s streams, args []string) error {
	shells := completionCommand().wordChoices()
	if len(args) != 1 || !slices.Contains(shells, args[0]) {
		return wrongWords("completion: found %q: expected one of %s", args, strings.Join(shells, ", "))
	}
	completions[args[0]](s.out, commands())
	return nil
}

// shellQuoted writes text as one word of bash and zsh.
func shellQuoted(text string) string {
	return "'" + strings.ReplaceAll(text, "'", `'\''`) + "'"
}

// allForms lists the ways to write a command's options.
func allForms(c command) []string {
	var forms []string
	for _, o := range c.options() {
		forms = append(forms, o.forms()...)
	}
	return forms
}

func names(all []command) []string {
	words := make([]string, len(all))
	for i, c := range all {
		words[i] = c.name
	}
	return words
}

// lines writes each line with a line break after it.
func lines(out io.Writer, all ...string) {
	for _, line := range all {
		fmt.Fprintln(out, line)
	}
}
