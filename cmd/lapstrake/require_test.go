// Tests that need other programs.

//go:build linux && cgo

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// requireTools leaves a test out where one of the programs or a C header is missing, and fails it where the variable
// says "required"; install is what brings them.
func requireTools(t testing.TB, variable, install, header string, programs ...string) {
	t.Helper()
	missing := ""
	for _, program := range programs {
		if _, err := exec.LookPath(program); err != nil {
			missing = program
		}
	}
	if _, err := os.Stat(filepath.Join("/usr/include", header)); err != nil {
		missing = header
	}
	switch {
	case missing != "" && os.Getenv(variable) == "required":
		t.Fatalf("no %s: install %s", missing, install)
	case missing != "":
		t.Skipf("no %s: install %s to run this test", missing, install)
	}
}

// builtFrom gives the path of what a compiler makes of testdata/SOURCE; words calls the compiler for a path.
func builtFrom(t testing.TB, source string, words func(source, path string) []string) string {
	t.Helper()
	path, err := shared(source+"-built", func(path string) error {
		call := words(filepath.Join("testdata", source), path)
		if said, err := exec.Command(call[0], call[1:]...).CombinedOutput(); err != nil {
			return fmt.Errorf("testdata/%s: %v\n%s", source, err, said)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// builtFromC compiles a C program with a library.
func builtFromC(t testing.TB, source, library string) string {
	t.Helper()
	return builtFrom(t, source, func(source, path string) []string {
		return []string{"gcc", "-O2", "-o", path, source, "-l" + library}
	})
}
