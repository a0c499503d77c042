package main

import (
	"runtime/debug"
	"strings"
	"testing"
)

func TestVersionLine(t *testing.T) {
	info := &debug.BuildInfo{GoVersion: "go1.30", Main: debug.Module{Version: "v1.2.3"},
		Settings: []debug.BuildSetting{
			{Key: "vcs.revision", Value: "0123456789abcdef0123456789abcdef01234567"},
			{Key: "vcs.modified", Value: "true"}}}
	want := "lapstrake v1.2.3, revision 0123456789ab with changes, go1.30, "
	if line := versionLine(info); !strings.HasPrefix(line, want) {
		t.Errorf("found %q, want %q", line, want)
	}
	if line, want := versionLine(&debug.BuildInfo{}), "lapstrake (devel), go"; !strings.HasPrefix(line, want) {
		t.Errorf("without build info: found %q, want %q", line, want)
	}
}
