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

	"lapstrake/mapping/nearest"
)

// Exit codes.
const (
	exitDone        = 0
	exitWrong       = 1
	exitWords       = 2
	exitFailure     = 3
	exitInterrupted = 130
)

// exitMeanings tells what the exit codes mean.
var exitMeanings = []struct {
	code    int
	meaning string
}{
	{exitDone, "The work is done."},
	{exitWrong, "The work is done and found something wrong."},
	{exitWords, "The words of the call are off."},
	{exitFailure, "A file or a device failed."},
	{exitInterrupted, "Ctrl-C ended the work before it was done; while playing, a second Ctrl-C."},
}

// What the program says of itself wherever it lists its commands.
const (
	purpose = "plays a sample instrument before it is built"
	caution = "Mind your ears: begin with the volume low, on headphones above all,\n" +
		"and follow your workplace's rules on sound levels."
)

// streams are where results, notices and progress go.
type streams struct {
	out     io.Writer
	notices io.Writer
}

// notice prints a line that is no result.
func (s streams) notice(format string, args ...any) {
	fmt.Fprintf(s.notices, format+"\n", args...)
}

// wordsError says that the words of the call are off.
type wordsError struct{ error }

func wrongWords(format string, args ...any) error {
	return wordsError{fmt.Errorf(format, args...)}
}

// wrongError says that the work is done and found something wrong.
type wrongError struct{ error }

func foundWrong(format string, args ...any) error {
	return wrongError{fmt.Errorf(format, args...)}
}

// interruptedError says that Ctrl-C ended the work.
type interruptedError struct{ error }

func commands() []command {
	return []command{
		demoCommand(), intakeCommand(), stateCommand(), splitCommand(), buildCommand(), mapCommand(), backCommand(),
		playCommand(), devicesCommand(), renderCommand(), holdCommand(), sweepCommand(), checkCommand(),
		exportCommand(), marksCommand(), compareCommand(), hearCommand(), withdrawCommand(), benchCommand(),
		completionCommand(), manCommand(), helpCommand(),
	}
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
	if args[0] == "--version" {
		printVersion(s.out)
		return nil
	}
	c, err := commandNamed(args[0])
	if err != nil {
		return err
	}
	return c.run(args[1:], s)
}

// commandNamed finds a command by its name; the error names the nearest one.
func commandNamed(name string) (command, error) {
	var names []string
	for _, c := range commands() {
		if c.name == name {
			return c, nil
		}
		names = append(names, c.name)
	}
	if meant := nearest.Word(name, names); meant != "" {
		return command{}, wrongWords("no command %q: is %s meant? `lapstrake --help` lists the commands", name, meant)
	}
	return command{}, wrongWords("no command %q; `lapstrake --help` lists the commands", name)
}

func printCommands(out io.Writer) {
	fmt.Fprintf(out, "lapstrake %s.\n\nCommands:\n", purpose)
	for _, c := range commands() {
		fmt.Fprintf(out, "  %-10s %s\n", c.name, c.summary)
	}
	fmt.Fprintf(out, "\n`lapstrake COMMAND --help` shows the options of a command and an example;\n"+
		"`lapstrake --version` tells which version this is.\n%s\n", caution)
}
