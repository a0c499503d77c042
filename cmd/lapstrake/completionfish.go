// The completion for fish.

package main

import (
	"fmt"
	"io"
	"strings"
)

func writeFishCompletion(out io.Writer, all []command) {
	lines(out,
		"# Completion of lapstrake for fish; printed by `lapstrake completion fish`.",
		"function __lapstrake_command",
		"    set -l words (commandline -opc)",
		"    if test (count $argv) -eq 0",
		"        test (count $words) -eq 1",
		"    else",
		"        test (count $words) -gt 1; and test $words[2] = $argv[1]",
		"    end",
		"end",
		"complete -c lapstrake -f")
	for _, c := range all {
		fmt.Fprintf(out, "complete -c lapstrake -n __lapstrake_command -a %s -d %s\n", c.name, fishQuoted(c.summary))
	}
	for _, c := range all {
		begin := "complete -c lapstrake -n '__lapstrake_command " + c.name + "'"
		switch {
		case c.takesFiles():
			fmt.Fprintf(out, "%s -F\n", begin)
		case c.words != "":
			fmt.Fprintf(out, "%s -a %s\n", begin, fishQuoted(strings.Join(c.wordChoices(), " ")))
		}
		for _, o := range c.options() {
			fmt.Fprintf(out, "%s %s\n", begin, fishOption(o))
		}
	}
}

func fishOption(o option) string {
	words := "-l " + o.name
	if o.short != "" {
		words += " -s " + o.short
	}
	switch {
	case o.choices != nil:
		words += " -x -a " + fishQuoted(strings.Join(o.choices, " "))
	case o.takesFile():
		words += " -r -F"
	case o.value != "":
		words += " -x"
	}
	return words + " -d " + fishQuoted(o.about)
}

// fishQuoted writes text as one word of fish.
func fishQuoted(text string) string {
	return "'" + strings.NewReplacer(`\`, `\\`, "'", `\'`).Replace(text) + "'"
}
