// The completion for bash.

package main

import (
	"fmt"
	"io"
	"strings"
)

// bashNoFiles keeps bash from offering files where nothing else fits. Bash 3 has no such command.
const bashNoFiles = "compopt +o bashdefault +o default 2>/dev/null"

// writeBashCompletion writes a function that knows the words of each command. An empty answer leaves the completion to
// bash, which offers files.
func writeBashCompletion(out io.Writer, all []command) {
	commandWords := shellQuoted(strings.Join(names(all), " ") + " --help")
	lines(out,
		"# Completion of lapstrake for bash; printed by `lapstrake completion bash`.",
		"_lapstrake() {",
		"    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} command=${COMP_WORDS[1]} "+
			"words= files=",
		"    COMPREPLY=()",
		"    if [ \"$word\" = = ]; then # --option=",
		"        word=",
		"    elif [ \"$before\" = = ]; then # --option=value",
		"        before=${COMP_WORDS[COMP_CWORD-2]}",
		"    fi",
		"    if [ \"$COMP_CWORD\" -eq 1 ]; then",
		fmt.Sprintf("        COMPREPLY=($(compgen -W %s -- \"$word\"))", commandWords),
		"        return",
		"    fi",
		"    case \"$command $before\" in")
	for _, c := range all {
		for _, o := range c.options() {
			if o.value != "" {
				fmt.Fprintf(out, "    %s)\n        %s\n        return;;\n", bashCases(c, o), bashValues(o))
			}
		}
	}
	lines(out,
		"    esac",
		"    case $command in")
	for _, c := range all {
		words := shellQuoted(strings.Join(append(c.wordChoices(), allForms(c)...), " "))
		if c.takesFiles() {
			words += " files=yes"
		}
		fmt.Fprintf(out, "    %s) words=%s;;\n", c.name, words)
	}
	lines(out,
		"    esac",
		"    if [[ $word == -* || -z $files ]]; then",
		"        "+bashNoFiles,
		"        COMPREPLY=($(compgen -W \"$words\" -- \"$word\"))",
		"    fi",
		"}",
		"complete -o bashdefault -o default -F _lapstrake lapstrake")
}

// bashCases matches the command followed by any form of the option.
func bashCases(c command, o option) string {
	var cases []string
	for _, form := range o.forms() {
		cases = append(cases, fmt.Sprintf("%q", c.name+" "+form))
	}
	return strings.Join(cases, "|")
}

// bashValues offers the values of an option.
func bashValues(o option) string {
	switch {
	case o.choices != nil:
		return fmt.Sprintf("COMPREPLY=($(compgen -W %s -- \"$word\"))", shellQuoted(strings.Join(o.choices, " ")))
	case o.takesFile():
		return ":"
	}
	return bashNoFiles
}
