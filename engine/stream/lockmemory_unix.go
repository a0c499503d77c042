//go:build unix

package stream

import "golang.org/x/sys/unix"

// lockMemory keeps data from being swapped out, as far as the system allows this program to: often a few MB.
func lockMemory(data []byte) { unix.Mlock(data) }

// unlockMemory undoes it.
func unlockMemory(data []byte) { unix.Munlock(data) }
