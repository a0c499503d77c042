//go:build unix

package midi

import "syscall"

// nonBlocking lets the runtime wait for a device, so that a read can be ended.
const nonBlocking = syscall.O_NONBLOCK
