// What several tests use is made once: the small demo, tones, and the programs that play and read. Tests only read it.

package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// sharedFolder holds what is made once; it goes when all tests have run.
var sharedFolder = sync.OnceValues(func() (string, error) { return os.MkdirTemp("", "lapstrake-shared-") })

// allTests removes the shared folder at the end.
type allTests struct{ *testing.M }

func (a allTests) Run() int {
	code := a.M.Run()
	if dir, err := sharedFolder(); err != nil || os.RemoveAll(dir) != nil {
		fmt.Fprintf(os.Stderr, "the folder that tests share is left over: %s %v\n", dir, err)
	}
	return code
}

var sharedThings sync.Map // a function that gives the path by name

// shared gives the path of something that make makes when it is first asked for by its name.
func shared(name string, make func(path string) error) (string, error) {
	made, _ := sharedThings.LoadOrStore(name, sync.OnceValues(func() (string, error) {
		dir, err := sharedFolder()
		if err != nil {
			return "", err
		}
		path := filepath.Join(dir, name)
		return path, make(path)
	}))
	return made.(func() (string, error))()
}

// smallYard is the folder of a project made by `demo --small`.
func smallYard() (string, error) {
	return shared("yard", func(path string) error {
		var out, notices bytes.Buffer
		if code := run([]string{"demo", path, "--small"}, streams{&out, &notices}); code != exitDone {
			return fmt.Errorf("demo: exit code %d\n%s%s", code, &out, &notices)
		}
		return nil
	})
}

// copySmallYard: smallyard DIR copies the shared small demo into a new folder of the script.
func copySmallYard(ts *testscript.TestScript, neg bool, args []string) {
	yard, err := smallYard()
	ts.Check(err)
	ts.Check(os.CopyFS(ts.MkAbs(args[0]), os.DirFS(yard)))
}
