package main

import (
	"bytes"
	"os/exec"
	"regexp"
	"strings"
	"testing"
)

// The manual page tells of every command, option, example and exit code.
func TestManualKnowsEverything(t *testing.T) {
	var page bytes.Buffer
	writeManual(&page, commands())
	plain := strings.NewReplacer(`\-`, "-", `\fB`, "", `\fI`, "", `\fR`, "", `\[u2026]`, "…").Replace(page.String())
	for _, c := range commands() {
		_, section, found := strings.Cut(plain, "\n.SS \"lapstrake "+c.name)
		if !found {
			t.Errorf("no section on %s", c.name)
			continue
		}
		section, _, _ = strings.Cut(section, "\n.S")
		for _, o := range c.options() {
			if heading := strings.Join(o.forms(), ", "); !strings.Contains(section, ".TP\n"+heading) {
				t.Errorf("%s: nothing on %s", c.name, heading)
			}
		}
		if first, _, _ := strings.Cut(c.example, "\n"); !strings.Contains(section, "\n"+first+"\n") {
			t.Errorf("%s: the example is missing: %s", c.name, first)
		}
	}
	for _, e := range exitMeanings {
		if !strings.Contains(plain, e.meaning) {
			t.Errorf("nothing on exit code %d", e.code)
		}
	}
}

// Each line is a request of man(7) or a text that roff cannot take for one, in ASCII.
func TestManualIsRoff(t *testing.T) {
	var page bytes.Buffer
	writeManual(&page, commands())
	request := regexp.MustCompile(`^\.(TH|SH|SS|TP|PP|B|I|nf|fi|RS|RE)( |$)`)
	for line := range strings.Lines(page.String()) {
		line = strings.TrimSuffix(line, "\n")
		if strings.HasPrefix(line, ".") && !request.MatchString(line) || strings.HasPrefix(line, "'") || line == "" {
			t.Errorf("no request: %q", line)
		}
		for _, r := range line {
			if r < ' ' || r > '~' {
				t.Errorf("%q: %q is not printable ASCII", line, r)
			}
		}
	}
	for text, want := range map[string]string{
		".profile":   `\&.profile`,
		"'quoted'":   `\&'quoted'`,
		"a\n.b":      "a\n\\&.b",
		`C:\takes`:   `C:\etakes`,
		"--for 2m":   `\-\-for 2m`,
		"DIR KEY…":   `DIR KEY\[u2026]`,
		"one\n\ntwo": "one\n.PP\ntwo",
	} {
		if got := roff(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

// Where groff is, it sets the page without a warning.
func TestGroffSetsTheManual(t *testing.T) {
	path, err := exec.LookPath("groff")
	if err != nil {
		return
	}
	var page, warnings bytes.Buffer
	writeManual(&page, commands())
	groff := exec.Command(path, "-man", "-ww", "-Tutf8", "-P-cbou")
	groff.Stdin, groff.Stderr = &page, &warnings
	set, err := groff.Output()
	if err != nil || warnings.Len() > 0 || !bytes.Contains(set, []byte("EXIT STATUS")) {
		t.Errorf("groff: %v: %s", err, &warnings)
	}
}
