// The completion for zsh.

package main

import (
	"fmt"
	"io"
	"strings"
)

func writeZshCompletion(out io.Writer, all []command) {
	lines(out,
		"#compdef lapstrake",
		"# Completion of lapstrake for zsh; printed by `lapstrake completion zsh`.",
		"_lapstrake() {",
		"    local -a commands",
		"    commands=(")
	for _, c := range all {
		fmt.Fprintf(out, "        %s\n", shellQuoted(c.name+":"+c.summary))
	}
	lines(out,
		"    )",
		"    if (( CURRENT == 2 )); then",
		"        _describe command commands",
		"        return",
		"    fi",
		"    local command=$words[2]",
		"    shift words",
		"    (( CURRENT-- ))",
		"    case $command in")
	for _, c := range all {
		fmt.Fprintf(out, "    %s)\n        _arguments", c.name)
		for _, o := range c.options() {
			fmt.Fprintf(out, " \\\n            %s", zshOption(o))
		}
		if c.words != "" {
			words := "*:" + zshEscaped(c.words) + ":" + zshAction(c.wordChoices(), c.takesFiles())
			fmt.Fprintf(out, " \\\n            %s", shellQuoted(words))
		}
		lines(out, "", "        ;;")
	}
	lines(out,
		"    esac",
		"}",
		`if [ "$funcstack[1]" = _lapstrake ]; then`,
		`    _lapstrake "$@"`,
		"else",
		"    compdef _lapstrake lapstrake",
		"fi")
}

// zshOption writes an option as _arguments reads it.
func zshOption(o option) string {
	rest := "[" + zshEscaped(o.about) + "]"
	long, short := "--"+o.name, "-"+o.short
	if o.value != "" {
		rest += ":" + zshEscaped(o.value) + ":" + zshAction(o.choices, o.takesFile())
		long, short = long+"=", short+"+"
	}
	if o.short == "" {
		return shellQuoted(long + rest)
	}
	either := shellQuoted("(" + strings.Join(o.forms(), " ") + ")")
	return fmt.Sprintf("%s{%s,%s}%s", either, long, short, shellQuoted(rest))
}

// zshAction completes a value: by words, by files or not at all.
func zshAction(choices []string, files bool) string {
	switch {
	case choices != nil:
		return "(" + strings.Join(choices, " ") + ")"
	case files:
		return "_files"
	}
	return " "
}

// zshEscaped keeps what separates the parts of a specification out of a text.
func zshEscaped(text string) string {
	return strings.NewReplacer(`\`, `\\`, ":", `\:`, "[", `\[`, "]", `\]`).Replace(text)
}
