// Errors of an export end with the options that mend them.

package main

import (
	"errors"
	"fmt"
	"strings"
	"syscall"
	"testing"

	"lapstrake/mapping/export"
)

func TestErrorsNameOptions(t *testing.T) {
	full := &export.SpaceError{Out: "out", NeededBytes: 50e6, FreeBytes: 1e6}
	for _, c := range []struct {
		err  error
		says string
	}{
		{fmt.Errorf("out: %w; choose another name, or replace an earlier export", export.ErrThere),
			"or replace an earlier export with --force"},
		{full, "needs 50 MB, 1 MB are free on that disk: " + syscall.ENOSPC.Error() + "; free some space there, " +
			"choose another disk, or write less (--parts, --starts first, --format 16, --budget)"},
		{errors.New("another"), "another"},
	} {
		err := withOptions(c.err)
		if !errors.Is(err, c.err) || !strings.HasSuffix(err.Error(), c.says) {
			t.Errorf("%v, want %q at its end", err, c.says)
		}
	}
}
