// Runs the scripts of testdata/script, which use the program as a person does.

package main

import (
	"bytes"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(allTests{m}, map[string]func(){"lapstrake": main})
}

func TestScripts(t *testing.T) {
	t.Parallel()
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"beds":      makeBeds,
			"nanbed":    makeNaNBed,
			"midi":      makeScore,
			"smallyard": copySmallYard,
			"truncate":  truncateFile,
			"replace":   replaceText,
			"exits":     checkExit,
			"jsonkeys":  checkJSONKeys,
			"jsonfits":  checkJSONSchema,
			"wav":       checkWAV,
			"png":       checkPNG,
			"snapshot":  takeSnapshot,
			"unchanged": checkSnapshot,
		},
		Setup: func(env *testscript.Env) error {
			env.Values[snapshotKey{}] = &snapshot{}
			return nil
		},
		Condition: func(name string) (bool, error) { return name == "thorough" && !testing.Short(), nil },
	})
}

// Every command tells its use with an example that begins with its own name, and every option is described.
func TestHelpOfEveryCommand(t *testing.T) {
	var list bytes.Buffer
	if code := run(nil, streams{&list, &list}); code != exitDone {
		t.Errorf("no words at all: exit code %d, want %d", code, exitDone)
	}
	for _, c := range commands() {
		if !strings.Contains(list.String(), "  "+c.name+" ") {
			t.Errorf("%s is not in the list of commands", c.name)
		}
		var out, notices bytes.Buffer
		if code := run([]string{c.name, "--help"}, streams{&out, &notices}); code != exitDone || notices.Len() > 0 {
			t.Errorf("%s --help: exit code %d, notices %q", c.name, code, &notices)
		}
		if want := "Example:\n  lapstrake " + c.name + " "; !strings.Contains(out.String(), want) {
			t.Errorf("%s --help: no example:\n%s", c.name, &out)
		}
		text, options, _ := strings.Cut(out.String(), "Options:\n")
		about, _, _ := strings.Cut(text, "Example:\n")
		lines := strings.Split(about, "\n")
		for i, line := range lines[:len(lines)-1] {
			next, _, _ := strings.Cut(lines[i+1], " ")
			if columns := columnsOf(line); columns > helpColumns ||
				line != "" && next != "" && columns+1+columnsOf(next) <= helpColumns {
				t.Errorf("%s --help: a line is not as long as it may be: %s", c.name, line)
			}
		}
		for line := range strings.Lines(options) {
			if fields := strings.Fields(line); strings.HasPrefix(fields[0], "-") && len(fields) < 3 {
				t.Errorf("%s --help: an option without a description: %s", c.name, line)
			}
		}
		if code := run([]string{c.name, "--no-such-option"}, streams{&out, &notices}); code != exitWords {
			t.Errorf("%s with an unknown option: exit code %d, want %d", c.name, code, exitWords)
		}
		if want := "lapstrake " + c.name + " --help"; !strings.Contains(notices.String(), want) {
			t.Errorf("%s with an unknown option: %s: does not point to %s", c.name, &notices, want)
		}
	}
}
