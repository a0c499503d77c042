// Load: how much of each block's time rendering takes.

package live

import "sync/atomic"

// loadSteps is how many steps of 1 % of a block's time are told apart; what takes
// longer counts in the last.
const loadSteps = 400

// load counts blocks by the part of their time that rendering took. The audio
// thread adds; any goroutine reads.
type load struct{ counts [loadSteps + 1]atomic.Int64 }

// add counts a block. Audio thread: no allocation, lock or I/O.
func (l *load) add(tookNs, blockNs int64) {
	percent := min(max(100*tookNs/max(blockNs, 1), 0), loadSteps)
	l.counts[percent].Add(1)
}

// percentile is the smallest load in percent of a block's time that at least part,
// 0 to 1, of all blocks so far stayed under.
func (l *load) percentile(part float64) int {
	var all, seen int64
	for i := range l.counts {
		all += l.counts[i].Load()
	}
	for i := range l.counts {
		seen += l.counts[i].Load()
		if float64(seen) >= part*float64(all) {
			return i + 1
		}
	}
	return loadSteps + 1
}

func (l *load) reset() {
	for i := range l.counts {
		l.counts[i].Store(0)
	}
}
