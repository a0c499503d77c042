// Command lapstrake plays a sample instrument before it is built: it generates a
// mapping of endless cycles, plays it, and shows what a held chord does.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/pflag"
)

// Exit codes.
const (
	exitDone    = 0
	exitWrong   = 1 // the work found something wrong
	exitWords   = 2 // the words of the call were off
	exitFailure = 3 // a file or a device failed

	exitInterrupted = 130 // by Ctrl-C before the work was done; while playing, by a second one
)

// command is one word of the program. setup adds its options and returns what
// runs it.
type command struct {
	name    string
	words   string // the arguments after the name
	summary string
	about   string
	example string
	setup   func(*pflag.FlagSet) func(streams, []string) error
}

// streams are where results, notices and progress go.
type streams struct {
	out     io.Writer
	notices io.Writer
}

// notice tells the user something that is no result.
func (s streams) notice(format string, args ...any) {
	fmt.Fprintf(s.notices, format+"\n", args...)
}

// wordsError says that the call was off, not the work.
type wordsError struct{ error }

func wrongWords(format string, args ...any) error {
	return wordsError{fmt.Errorf(format, args...)}
}

// wrongError says that the work was done as asked and found something wrong.
type wrongError struct{ error }

func foundWrong(format string, args ...any) error {
	return wrongError{fmt.Errorf(format, args...)}
}

// interruptedError says that the work was ended from outside.
type interruptedError struct{ error }

func commands() []command {
	return []command{demoCommand(), intakeCommand(), buildCommand(), mapCommand(), playCommand(), devicesCommand(), renderCommand(), holdCommand(), sweepCommand(), exportCommand(), benchCommand()}
}

func main() {
	os.Exit(run(os.Args[1:], streams{os.Stdout, os.Stderr}))
}

func run(args []string, s streams) int {
	err := dispatch(args, s)
	if err == nil || errors.Is(err, pflag.ErrHelp) {
		return exitDone
	}
	s.notice("lapstrake: %s", strings.ReplaceAll(err.Error(), "\n", "\nlapstrake: "))
	if words := (wordsError{}); errors.As(err, &words) {
		return exitWords
	}
	if wrong := (wrongError{}); errors.As(err, &wrong) {
		return exitWrong
	}
	if interrupted := (interruptedError{}); errors.As(err, &interrupted) {
		return exitInterrupted
	}
	return exitFailure
}

func dispatch(args []string, s streams) error {
	if len(args) == 0 || args[0] == "--help" || args[0] == "-h" {
		printCommands(s.out)
		return nil
	}
	for _, c := range commands() {
		if c.name == args[0] {
			return c.run(args[1:], s)
		}
	}
	return wrongWords("no command %q; `lapstrake --help` lists them", args[0])
}

func (c command) run(args []string, s streams) error {
	flags := pflag.NewFlagSet(c.name, pflag.ContinueOnError)
	flags.SetOutput(io.Discard)
	flags.SortFlags = false
	work := c.setup(flags)
	err := flags.Parse(args)
	if errors.Is(err, pflag.ErrHelp) {
		c.printHelp(s.out, flags)
		return err
	}
	if err != nil {
		return wrongWords("%s: %w; `lapstrake %s --help` lists the options", c.name, err, c.name)
	}
	return work(s, flags.Args())
}

func (c command) printHelp(out io.Writer, flags *pflag.FlagSet) {
	fmt.Fprintf(out, "lapstrake %s %s\n\n%s\n\nExample:\n  %s\n\nOptions:\n%s",
		c.name, c.words, c.about, c.example, flags.FlagUsagesWrapped(100))
}

func printCommands(out io.Writer) {
	fmt.Fprint(out, "lapstrake plays a sample instrument before it is built.\n\nCommands:\n")
	for _, c := range commands() {
		fmt.Fprintf(out, "  %-7s %s\n", c.name, c.summary)
	}
	fmt.Fprint(out, "\n`lapstrake COMMAND --help` tells each one's options, with an example.\n"+
		"Mind your ears: begin with the volume low, on headphones above all, and follow your workplace's rules on sound levels.\n")
}
