// Load: how much of each block's time rendering takes.

package live

import (
	"sync/atomic"
	"time"
)

const (
	// loadSteps is how many steps of 1 % of a block's time are told apart; what takes
	// longer counts in the last.
	loadSteps = 400
	// recentSeconds is how many seconds of sound recent figures are of, the one under way included.
	recentSeconds = 5
)

// loadCounts counts blocks by the part of their time that rendering took, in percent.
type loadCounts [loadSteps + 1]atomic.Int64

// load keeps count since the start and of the last seconds. The audio
// thread adds; any goroutine reads.
type load struct {
	whole  loadCounts
	recent [recentSeconds]loadCounts
	second int   // index in recent of the present one; the audio thread's
	passed int64 // ns of it
}

// add counts a block. Audio thread: no allocation, lock or I/O.
func (l *load) add(tookNs, blockNs int64) {
	if l.passed += blockNs; l.passed > int64(time.Second) {
		l.passed = blockNs
		l.second = (l.second + 1) % recentSeconds
		l.recent[l.second].reset()
	}
	percent := min(max(100*tookNs/max(blockNs, 1), 0), loadSteps)
	l.whole[percent].Add(1)
	l.recent[l.second][percent].Add(1)
}

// lately is the median of the last seconds and the worst block of them, in percent of a block's time; 0 before the
// first block.
func (l *load) lately() (median, worst int) {
	var together loadCounts
	for i := range l.recent {
		for percent := range l.recent[i] {
			together[percent].Add(l.recent[i][percent].Load())
		}
	}
	return together.percentile(0.5), together.percentile(1)
}

// percentile is the smallest load in percent of a block's time that at least part,
// 0 to 1, of all blocks stayed under; 0 without any.
func (c *loadCounts) percentile(part float64) int {
	var all, seen int64
	for i := range c {
		all += c[i].Load()
	}
	if all == 0 {
		return 0
	}
	for i := range c {
		seen += c[i].Load()
		if float64(seen) >= part*float64(all) {
			return i + 1
		}
	}
	return loadSteps + 1
}

func (c *loadCounts) reset() {
	for i := range c {
		c[i].Store(0)
	}
}
