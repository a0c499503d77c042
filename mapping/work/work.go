// Package work does the same to many items on all processors.
package work

import (
	"context"
	"runtime"
	"sync"

	"golang.org/x/sync/errgroup"
)

// Each calls do for every i from 0 up to, not including, n, on all processors, and waits for all calls. The first
// error ends the context that do gets; items that have not begun by then are left out, and Each returns that error.
// When ctx itself ends, Each returns ctx.Err().
func Each(ctx context.Context, n int, do func(ctx context.Context, i int) error) error {
	group, groupCtx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.NumCPU())
	for i := range n {
		group.Go(func() error {
			if err := groupCtx.Err(); err != nil {
				return err
			}
			return do(groupCtx, i)
		})
	}
	if err := group.Wait(); err != nil {
		return err
	}
	return ctx.Err()
}

// Tally adds up what is done of a whole and tells it. It may be used from several goroutines.
type Tally struct {
	mu          sync.Mutex
	done, total float64
	tell        func(part float64)
}

// NewTally makes a tally of a whole of total, in any unit. tell is called with the part that is done, 0 to 1, never
// from two goroutines at once; it may be nil.
func NewTally(total float64, tell func(part float64)) *Tally {
	return &Tally{total: total, tell: tell}
}

// Add notes that so much more is done.
func (t *Tally) Add(amount float64) {
	if t.tell == nil {
		return
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	t.done += amount
	if t.total > 0 {
		t.tell(min(t.done/t.total, 1))
	}
}
