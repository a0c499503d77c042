// Prints the manual page, for the man command: the commands and options as a roff text.

package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"
)

func manCommand() command {
	return command{
		name: "man", words: "",
		summary: "print the manual page",
		about: `Prints the manual page of lapstrake in the form that the man command reads. It tells of
every command and option. "make install" puts it where man looks for it.`,
		example: "lapstrake man | man -l -",
		setup: func(*pflag.FlagSet) func(streams, []string) error {
			return func(s streams, args []string) error {
				if len(args) > 0 {
					return wrongWords("man: found %q: expected nothing more", args)
				}
				writeManual(s.out, commands())
				return nil
			}
		},
	}
}

// writeManual writes with the macros of man(7).
func writeManual(out io.Writer, all []command) {
	lines(out,
		`.TH LAPSTRAKE 1 "" lapstrake "User Commands"`,
		".SH NAME",
		`lapstrake \- `+roff(purpose),
		".SH SYNOPSIS",
		".B lapstrake",
		".I COMMAND",
		"[words and options]",
		".SH DESCRIPTION",
		roff("lapstrake measures recordings, weaves them into beds, maps the beds over the keyboard,\n"+
			"plays the map and exports it. Each command shows its options and an example with --help.\n\n"+caution),
		".SH COMMANDS")
	for _, c := range all {
		c.writeManual(out)
	}
	lines(out, ".SH EXIT STATUS")
	for _, e := range exitMeanings {
		lines(out, ".TP", fmt.Sprint(e.code), roff(e.meaning))
	}
}

func (c command) writeManual(out io.Writer) {
	lines(out, ".SS "+roffWord(strings.TrimSpace("lapstrake "+c.name+" "+c.words)), roff(c.about))
	for _, o := range c.options() {
		var forms []string
		for _, form := range o.forms() {
			forms = append(forms, `\fB`+roff(form)+`\fR`)
		}
		heading := strings.Join(forms, ", ")
		if o.value != "" {
			heading += ` \fI` + roff(o.value) + `\fR`
		}
		about := o.about
		if o.initial != "" {
			about += fmt.Sprintf(" (%s if not given)", o.initial)
		}
		lines(out, ".TP", heading, roff(about))
	}
	lines(out, ".PP", "Example:", ".PP", ".nf", ".RS")
	for example := range strings.Lines(c.example) {
		lines(out, roff(strings.TrimSpace(example)))
	}
	lines(out, ".RE", ".fi")
}

// roff writes text so that roff prints it as it is: hyphens that can be copied, no line taken for a request, letters
// beyond ASCII by their numbers.
func roff(text string) string {
	var escaped strings.Builder
	for i, line := range strings.Split(text, "\n") {
		if i > 0 {
			escaped.WriteByte('\n')
		}
		if strings.HasPrefix(line, ".") || strings.HasPrefix(line, "'") {
			escaped.WriteString(`\&`)
		}
		if line == "" {
			escaped.WriteString(".PP") // a new paragraph
		}
		for _, r := range line {
			switch {
			case r == '\\':
				escaped.WriteString(`\e`)
			case r == '-':
				escaped.WriteString(`\-`)
			case r > '~':
				fmt.Fprintf(&escaped, `\[u%04X]`, r)
			default:
				escaped.WriteRune(r)
			}
		}
	}
	return escaped.String()
}

// roffWord writes text as one argument of a macro.
func roffWord(text string) string { return `"` + strings.ReplaceAll(roff(text), `"`, `\(dq`) + `"` }
