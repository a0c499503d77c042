package main

import (
	"bytes"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// Every shell is told every command, every option and every word that can be chosen.
func TestCompletionsKnowEverything(t *testing.T) {
	for shell, write := range completions {
		var script bytes.Buffer
		write(&script, commands())
		has := func(words ...string) bool {
			return slices.ContainsFunc(words,
				func(word string) bool { return strings.Contains(script.String(), word) })
		}
		for _, c := range commands() {
			if !has("'"+c.name+":", " "+c.name+") words=", " -a "+c.name+" ") {
				t.Errorf("%s: no command %s", shell, c.name)
			}
			for _, o := range c.options() {
				if !has("--"+o.name+" ", "--"+o.name+"'", "--"+o.name+"=", "--"+o.name+"[", "-l "+o.name+" ") {
					t.Errorf("%s: no option --%s of %s", shell, o.name, c.name)
				}
				if o.choices != nil && !has(strings.Join(o.choices, " ")) {
					t.Errorf("%s: --%s of %s does not offer %q", shell, o.name, c.name, o.choices)
				}
			}
		}
	}
}

// Each shell that is here reads its script without a complaint. Bash, which `make` needs, is always here.
func TestShellsReadTheirCompletions(t *testing.T) {
	for shell, write := range completions {
		path, err := exec.LookPath(shell)
		if err != nil && shell != "bash" {
			continue
		}
		var script bytes.Buffer
		write(&script, commands())
		check := exec.Command(path, "-n")
		check.Stdin = &script
		if said, err := check.CombinedOutput(); err != nil || len(said) > 0 {
			t.Errorf("%s -n: %v: %s", shell, err, said)
		}
	}
}

// Bash offers what the tables say, as if somebody pressed Tab after the last word.
func TestBashCompletes(t *testing.T) {
	complete := bashCompleter(t)
	for _, want := range []struct {
		line    string
		offered string
	}{
		{"lapstrake ho", "hold"},
		{"lapstrake hold --f", "--for --format --force"},
		{"lapstrake hold yard --format fl", "float"},
		{"lapstrake hold yard --format = ", "16 24 float"}, // as bash splits --format=
		{"lapstrake hold yard --format = f", "float"},
		{"lapstrake render yard --quality ", "economy standard high best"},
		{"lapstrake completion z", "zsh"},
		{"lapstrake hold yard --for ", ""},
		{"lapstrake hold ya", ""}, // bash itself offers files
		{"lapstrake nothing -", ""},
	} {
		if got := complete(want.line); got != want.offered {
			t.Errorf("%q: offers %q, want %q", want.line, got, want.offered)
		}
	}
	for _, c := range commands() {
		if got, want := complete("lapstrake "+c.name+" -"), strings.Join(allForms(c), " "); got != want {
			t.Errorf("lapstrake %s -: offers %q, want %q", c.name, got, want)
		}
	}
}

// bashCompleter returns what bash offers for a line whose words are separated by single spaces.
func bashCompleter(t *testing.T) func(line string) string {
	var script bytes.Buffer
	writeBashCompletion(&script, commands())
	io.WriteString(&script, "\nCOMP_WORDS=(\"$@\") COMP_CWORD=$(($# - 1))\n_lapstrake\necho \"${COMPREPLY[*]}\"\n")
	return func(line string) string {
		t.Helper()
		words := append([]string{"-c", script.String(), "bash"}, strings.Split(line, " ")...)
		shell := exec.Command("bash", words...)
		shell.Dir = t.TempDir()
		offered, err := shell.Output()
		if err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		return strings.TrimSpace(string(offered))
	}
}
