// Sound libraries write what they like to standard error: it is kept away from what a command says there.

package main

import (
	"io"
	"os"

	"lapstrake/engine/live"
)

// quietly keeps sound libraries from writing to standard error until restore is called, and gives the streams on which
// the command goes on.
func quietly(s streams) (quiet streams, restore func(), err error) {
	onStderr := s.notices == io.Writer(os.Stderr)
	stderr, restore, err := live.Quiet()
	if err == nil && onStderr {
		s.notices = stderr
	}
	return s, restore, err
}
