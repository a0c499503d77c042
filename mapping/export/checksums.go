// SHA256SUMS: a line for every other file, as sha256sum -c reads it.

package export

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"lapstrake/mapping/whole"
)

// writeChecksums lists the files of dir, sorted by name. Those whose sums are known, by name, are not read again. It
// counts the files and their bytes, its own included.
func writeChecksums(dir string, known map[string]string) (files int, sizeBytes int64, err error) {
	var out bytes.Buffer
	err = filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		info, err := entry.Info()
		if err != nil {
			return err
		}
		name = filepath.ToSlash(name)
		sum := known[name]
		if sum == "" {
			if sum, err = checksum(path); err != nil {
				return err
			}
		}
		files, sizeBytes = files+1, sizeBytes+info.Size()
		fmt.Fprintf(&out, "%s  %s\n", sum, name)
		return nil
	})
	if err != nil {
		return 0, 0, err
	}
	return files + 1, sizeBytes + int64(out.Len()), whole.Write(filepath.Join(dir, checksumsFile), out.Bytes())
}

func checksum(path string) (string, error) {
	file, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer file.Close()
	digest := sha256.New()
	_, err = io.Copy(digest, file)
	return hex.EncodeToString(digest.Sum(nil)), err
}
