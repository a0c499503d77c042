// Tests that need other programs.

//go:build linux && cgo

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// requireTools leaves a test out where one of the programs or a C header is missing, and fails it where the variable says
// "required"; install is what brings them.
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
