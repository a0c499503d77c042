// Opening an address in the user's browser, by the desktop's own program for that.

package main

import (
	"os"
	"os/exec"
	"runtime"

	"lapstrake/engine/live"
)

// openerOf is the desktop's program that opens an address, and what comes before the address: xdg-open of
// freedesktop.org's xdg-utils, open(1) of macOS, and the system's handler of addresses on Windows. There is none where
// no display is there to show it on.
func openerOf(system string, variable func(string) string) (words []string) {
	switch system {
	case "windows":
		return []string{"rundll32", "url.dll,FileProtocolHandler"}
	case "darwin":
		return []string{"open"}
	}
	if variable("DISPLAY") == "" && variable("WAYLAND_DISPLAY") == "" {
		return nil
	}
	return []string{"xdg-open"}
}

// openAddress opens an address without waiting for it: some openers end with the browser. begun says whether there is
// anything to open it with and on.
func openAddress(address string) (begun bool) {
	words := openerOf(runtime.GOOS, os.Getenv)
	if words == nil {
		return false
	}
	opener := exec.Command(words[0], append(words[1:], address)...)
	if live.Calmly(opener.Start) != nil {
		return false
	}
	go opener.Wait()
	return true
}
