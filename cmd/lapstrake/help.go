// The command help: the same text as --help of a command.

package main

import (
	"github.com/spf13/pflag"
)

func helpCommand() command {
	return command{
		name: "help", words: "[COMMAND]",
		summary: "tell the options of a command, with an example",
		about: `Tells what a command does, its options and an example, as COMMAND --help does. Without
a command it lists all of them.`,
		example: "lapstrake help build",
		setup: func(*pflag.FlagSet) func(streams, []string) error {
			return runHelp
		},
	}
}

func runHelp(s streams, args []string) error {
	if len(args) == 0 {
		printCommands(s.out)
		return nil
	}
	if len(args) > 1 {
		return wrongWords("help takes one command; found %d words", len(args))
	}
	c, err := commandNamed(args[0])
	if err != nil {
		return err
	}
	flags, _ := c.flags()
	c.printHelp(s.out, flags)
	return nil
}
