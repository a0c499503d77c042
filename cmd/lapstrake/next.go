// The last line of a command's results: which one comes next.

package main

import (
	"fmt"
	"strings"

	"github.com/spf13/pflag"
)

// nextCommands tells which command comes after which; DIR stands for the project. A command of a project that is not
// here sends to state, which looks.
var nextCommands = map[string]string{
	"demo":   "lapstrake play DIR",
	"intake": "lapstrake build DIR",
	"build":  "lapstrake play DIR",
	"map":    "lapstrake play DIR",
	"play":   "lapstrake export DIR -o OUT",
	"hold":   "lapstrake play DIR",
	"sweep":  "lapstrake play DIR",
	"render": "lapstrake export DIR -o OUT",
	"check":  "lapstrake play DIR",
	"state":  "", // says so itself
	"marks":  "", // where there are any
	"bench":  "",
}

// goOnWhenWrong are the commands after which the next one can follow though they found something wrong.
var goOnWhenWrong = []string{"intake", "check"}

// afterOption is the next command where an option was given.
var afterOption = map[string]map[string]string{
	"build": {"plan": "lapstrake build DIR"},
	"map":   {"dry-run": "lapstrake map DIR"},
}

// tellNext ends what a command prints with the next one, for a person: not in JSON, and not where sound goes to
// standard output.
func (c command) tellNext(s streams, flags *pflag.FlagSet, args []string) {
	asJSON, _ := flags.GetBool("json")
	output, _ := flags.GetString("output")
	if asJSON || output == "-" || len(args) == 0 || !strings.HasPrefix(c.words, "DIR") {
		return
	}
	next, known := nextCommands[c.name]
	if !known {
		next = "lapstrake state DIR"
	}
	for option, instead := range afterOption[c.name] {
		if flags.Changed(option) {
			next = instead
		}
	}
	if next != "" {
		fmt.Fprintf(s.out, "next: %s\n", strings.ReplaceAll(next, "DIR", inShell(args[0])))
	}
}

// inShell writes a word as a shell takes it.
func inShell(word string) string {
	if strings.ContainsAny(word, " '\"$&;()*?<>|\\`#!") {
		return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
	}
	return word
}
