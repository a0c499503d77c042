//go:build !unix

package whole

import "os"

// hold does nothing: here the system removes no file that is open.
func hold(*os.File) {}

// abandoned leaves it to the removal, which fails while somebody writes the file.
func abandoned(string) bool { return true }

// place closes the file first, since the system renames none that is open.
func place(temp *os.File, target string) error {
	if err := temp.Close(); err != nil {
		return err
	}
	return os.Rename(temp.Name(), target)
}
