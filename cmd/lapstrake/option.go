// What completions and the manual page tell of an option.

package main

import (
	"slices"
	"strings"

	"github.com/spf13/pflag"
)

// option is one option of a command.
type option struct {
	name    string   // without its dashes
	short   string   // one letter; empty where there is none
	about   string   // what it does
	value   string   // what stands for its value; empty for a switch
	choices []string // the words that its value can be; nil where it can be anything
	initial string   // its value when it is not given; empty where that is nothing
}

const choicesKey = "choices"

// offer notes the words that an option of flags takes.
func offer(flags *pflag.FlagSet, name string, choices ...string) {
	flags.SetAnnotation(name, choicesKey, choices)
}

// options lists a command's options in the order of its help, and --help itself.
func (c command) options() []option {
	var all []option
	flags, _ := c.flags()
	flags.VisitAll(func(flag *pflag.Flag) {
		value, about := pflag.UnquoteUsage(flag)
		o := option{name: flag.Name, short: flag.Shorthand, about: about, value: value,
			choices: flag.Annotations[choicesKey]}
		if !slices.Contains([]string{"", "0", "0s", "false", "[]"}, flag.DefValue) {
			o.initial = strings.Trim(flag.DefValue, "[]")
		}
		all = append(all, o)
	})
	return append(all, option{name: "help", short: "h", about: "tell about this command"})
}

// forms lists the ways to write the option: --name, then -n.
func (o option) forms() []string {
	forms := []string{"--" + o.name}
	if o.short != "" {
		forms = append(forms, "-"+o.short)
	}
	return forms
}

// takesFile says whether the option's value is a path.
func (o option) takesFile() bool {
	return slices.Contains([]string{"FILE", "FOLDER", "PATH"}, o.value) || strings.Contains(o.value, ".")
}

// takesFiles says whether the command's arguments are paths, the first of them at least.
func (c command) takesFiles() bool { return c.words != "" && c.wordChoices() == nil }

// wordChoices lists the words that the command's one argument can be.
func (c command) wordChoices() []string {
	if strings.Contains(c.words, "|") {
		return strings.Split(c.words, "|")
	}
	return nil
}
