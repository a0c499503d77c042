// One command at a time works on a project.

package project

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// lockFile lies in the project folder while a command changes it, and says which.
const lockFile = ".lapstrake-lock"

// InUse is in the text of every InUseError, for a program that reads what a command has said.
const InUse = "another lapstrake works on this project"

// InUseError says that another command is at work on a project.
type InUseError struct {
	Dir string
	By  string // such as "build, process 4711, since 14:02:11"
}

func (e *InUseError) Error() string {
	return fmt.Sprintf("%s: %s (%s): wait until it is done, or end it", e.Dir, InUse, e.By)
}

// Lock keeps every other command from changing the project in dir until release is called. command is the name that
// the others are told. A project that is in use is an *InUseError. The lock of a process that has died is no lock.
func Lock(dir, command string) (release func(), err error) {
	path := filepath.Join(dir, lockFile)
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, err
	}
	if err := tryLock(file); err != nil {
		defer file.Close()
		if errors.Is(err, errLocked) {
			return nil, &InUseError{dir, ownerOf(file)}
		}
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	owner := fmt.Sprintf("%s, process %d, since %s\n", command, os.Getpid(), time.Now().Format("15:04:05"))
	err = file.Truncate(0)
	if err == nil {
		_, err = file.WriteAt([]byte(owner), 0)
	}
	if err != nil {
		file.Close()
		return nil, err
	}
	return func() {
		os.Remove(path)
		file.Close()
	}, nil
}

// IsLocked says whether a command changes the project in dir just now.
func IsLocked(dir string) bool {
	file, err := os.Open(filepath.Join(dir, lockFile))
	if err != nil {
		return false
	}
	defer file.Close()
	return errors.Is(tryShare(file), errLocked)
}

func ownerOf(file *os.File) string {
	text, _ := io.ReadAll(io.LimitReader(file, 200))
	if said := strings.TrimSpace(string(text)); said != "" {
		return said
	}
	return "it has just begun"
}

var errLocked = errors.New("locked by another process")
