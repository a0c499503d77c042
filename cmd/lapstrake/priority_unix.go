//go:build unix

package main

import "golang.org/x/sys/unix"

// lowerPriority lets a process work when nothing more urgent does. Where that is refused it works as it is.
func lowerPriority(pid int) {
	const nice = 10
	unix.Setpriority(unix.PRIO_PROCESS, pid, nice)
}
