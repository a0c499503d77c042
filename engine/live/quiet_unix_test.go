//go:build unix

// What is quiet and what is not, seen from another process.

package live

import (
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"

	"golang.org/x/sys/unix"
)

const quietChild = "LAPSTRAKE_QUIET_CHILD"

// The child is this test's own program: it says things as a C library does, and as we do, and ends as told.
func TestQuiet(t *testing.T) {
	if how := os.Getenv(quietChild); how != "" {
		speak(how)
		return
	}
	for how, want := range map[string]struct{ says, saysNot []string }{
		"returns": {[]string{"before\n", "ours\n", "again\n"}, []string{"library"}},
		"panics": {[]string{"before\n", "ours\n", "panic: the tiller broke", "quiet_unix_test.go"},
			[]string{"library"}},
	} {
		child := exec.Command(os.Args[0], "-test.run=^TestQuiet$")
		child.Env = append(os.Environ(), quietChild+"="+how)
		var stderr strings.Builder
		child.Stderr = &stderr
		err := child.Run()
		if failed := err != nil; failed != (how == "panics") {
			t.Errorf("the child that %s ended with %v", how, err)
		}
		for _, part := range want.says {
			if !strings.Contains(stderr.String(), part) {
				t.Errorf("the child that %s printed %q, want also %q", how, &stderr, part)
			}
		}
		for _, part := range want.saysNot {
			if strings.Contains(stderr.String(), part) {
				t.Errorf("the child that %s printed %q, which should be kept quiet", how, part)
			}
		}
	}
}

func speak(how string) {
	library := func(words string) { unix.Write(2, []byte(words)) }
	library("before\n")
	stderr, restore, err := Quiet()
	if err != nil {
		panic(err)
	}
	library("library\n")
	fmt.Fprintln(stderr, "ours")
	if how == "panics" {
		panic("the tiller broke")
	}
	restore()
	library("again\n")
}
