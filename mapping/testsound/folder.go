// Where the recordings lie.

package testsound

import (
	"path/filepath"
	"runtime"
)

// Recordings is the folder of recordings of known pitch; testdata/README.md tells where they come from.
func Recordings() string {
	_, here, _, _ := runtime.Caller(0)
	return filepath.Join(filepath.Dir(here), "..", "..", "testdata", "recordings")
}
