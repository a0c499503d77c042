// One word of the program: what it is told, what it tells of itself, what runs it.

package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"lapstrake/mapping/project"
)

// command is one word of the program. setup adds its options and returns what runs it. Help, completions and the
// manual page are made from these fields and from the options.
type command struct {
	name    string
	words   string // the arguments after the name; words that can be chosen stand as a|b|c
	summary string
	about   string // paragraphs, with an empty line between two; help breaks their lines
	example string
	setup   func(*pflag.FlagSet) func(streams, []string) error
}

// flags returns the command's options and what runs it.
func (c command) flags() (*pflag.FlagSet, func(streams, []string) error) {
	flags := pflag.NewFlagSet(c.name, pflag.ContinueOnError)
	flags.SetOutput(io.Discard)
	flags.SortFlags = false
	return flags, c.setup(flags)
}

func (c command) run(args []string, s streams) error {
	flags, work := c.flags()
	err := flags.Parse(args)
	if errors.Is(err, pflag.ErrHelp) {
		c.printHelp(s.out, flags)
		return err
	}
	if err != nil {
		return wrongWords("%s: %w; `lapstrake %s --help` lists the options", c.name, err, c.name)
	}
	words := c.leadToProject(flags.Args())
	err = work(s, words)
	if wrong := (wrongError{}); err == nil || errors.As(err, &wrong) && slices.Contains(goOnWhenWrong, c.name) {
		c.tellNext(s, flags, words)
	}
	return err
}

// makesProject names the commands whose DIR need not be there yet.
var makesProject = []string{"demo"}

// leadToProject lets a project be named by one of its files or folders.
func (c command) leadToProject(args []string) []string {
	named := strings.HasPrefix(strings.TrimPrefix(c.words, "["), "DIR")
	if len(args) == 0 || !named || slices.Contains(makesProject, c.name) {
		return args
	}
	args = slices.Clone(args)
	args[0] = project.Find(args[0])
	return args
}

const helpColumns = 100

func (c command) printHelp(out io.Writer, flags *pflag.FlagSet) {
	fmt.Fprintf(out, "%s\n\n%s\nExample:\n  %s\n", strings.TrimSpace("lapstrake "+c.name+" "+c.words),
		filled(c.about, helpColumns), c.example)
	if flags.HasAvailableFlags() {
		fmt.Fprintf(out, "\nOptions:\n%s", flags.FlagUsagesWrapped(helpColumns))
	}
}

// filled breaks paragraphs, which empty lines part, anew into lines of so many columns. An empty line is after each.
func filled(text string, columns int) string {
	var out strings.Builder
	for paragraph := range strings.SplitSeq(text, "\n\n") {
		for rest := strings.Join(strings.Fields(paragraph), " "); rest != ""; {
			var line string
			line, rest = brokenAt(rest, columns)
			out.WriteString(line + "\n")
		}
		out.WriteString("\n")
	}
	return out.String()
}
