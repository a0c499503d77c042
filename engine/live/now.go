// Now: the clock that MIDI and audio share.

package live

import "time"

// clockStart is when the clock read 0. time.Since reads the monotonic clock: setting the time of
// day does not move it.
var clockStart = time.Now()

// Now is nanoseconds since the program started. It never goes back. No allocation, no lock.
func Now() int64 { return int64(time.Since(clockStart)) }
