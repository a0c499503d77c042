// A take's file: opened read-only, and known by the hash of its bytes.

package decode

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
)

// openTake opens a regular file read-only.
func openTake(path string) (*os.File, int64, error) {
	status, err := os.Stat(path) // before opening: opening a pipe would wait for its writer
	if err != nil {
		return nil, 0, fmt.Errorf("%w; check the name, or put the file back", err)
	}
	if !status.Mode().IsRegular() {
		return nil, 0, fmt.Errorf("%s: found a folder, device or pipe, expected a sound file; name a file", path)
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, 0, fmt.Errorf("%w; make the file readable", err)
	}
	return file, status.Size(), nil
}

// Hash is the SHA-256 of the file's bytes, in hexadecimal: alike for files of identical content, whatever
// their names.
func Hash(path string) (string, error) {
	file, _, err := openTake(path)
	if err != nil {
		return "", err
	}
	defer file.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, file); err != nil {
		return "", readError(path, err)
	}
	return hex.EncodeToString(sum.Sum(nil)), nil
}

func readError(path string, err error) error {
	return fmt.Errorf("%s: cannot be read: %w; copy the file again, or check the disk", path, err)
}
