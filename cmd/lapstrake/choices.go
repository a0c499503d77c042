// The words that an option takes, for the completion of a shell.

package main

import "github.com/spf13/pflag"

const choicesKey = "choices"

// offer notes the words that an option of flags takes.
func offer(flags *pflag.FlagSet, name string, choices ...string) {
	flags.SetAnnotation(name, choicesKey, choices)
}
