//go:build unix

package whole

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// hold marks a temporary file as being written, for as long as it is open: the system lets go of it when the program
// ends, however it ends.
func hold(file *os.File) { unix.Flock(int(file.Fd()), unix.LOCK_EX|unix.LOCK_NB) }

// abandoned says whether nobody writes the temporary file at path any more.
func abandoned(path string) bool {
	file, err := os.Open(path)
	if err != nil {
		return false
	}
	defer file.Close()
	return unix.Flock(int(file.Fd()), unix.LOCK_EX|unix.LOCK_NB) == nil
}

// place renames the file over target. It is held until it bears that name.
func place(temp *os.File, target string) error {
	return errors.Join(os.Rename(temp.Name(), target), temp.Close())
}
