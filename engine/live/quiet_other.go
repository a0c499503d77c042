//go:build !unix

package live

import "os"

// Quiet does nothing here: sound libraries do not print on this system.
func Quiet() (stderr *os.File, restore func(), err error) {
	return os.Stderr, func() {}, nil
}
