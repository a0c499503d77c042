package work

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"testing"
)

func TestEachDoesEveryItemOnce(t *testing.T) {
	counts := make([]atomic.Int32, 1000)
	tally := NewTally(float64(len(counts)), func(part float64) {
		if part < 0 || part > 1 {
			t.Errorf("told %v of the whole", part)
		}
	})
	err := Each(t.Context(), len(counts), func(_ context.Context, i int) error {
		counts[i].Add(1)
		tally.Add(1)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for i := range counts {
		if n := counts[i].Load(); n != 1 {
			t.Errorf("item %d was done %d times, want once", i, n)
		}
	}
}

func TestEachStopsAtTheFirstError(t *testing.T) {
	disk := errors.New("no space left")
	var after atomic.Int32
	err := Each(t.Context(), 10_000, func(ctx context.Context, i int) error {
		if i == 3 {
			return disk
		}
		if ctx.Err() != nil {
			after.Add(1)
		}
		return nil
	})
	if !errors.Is(err, disk) {
		t.Errorf("got %v, want the first error", err)
	}
	if n := after.Load(); n > 100 { // those that had begun
		t.Errorf("%d items began after the error", n)
	}
}

func TestEachEndsWithItsContext(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	done := atomic.Int32{}
	err := Each(ctx, 10_000, func(context.Context, int) error {
		if done.Add(1) == 5 {
			cancel()
		}
		return nil
	})
	if !errors.Is(err, context.Canceled) || done.Load() > 100 {
		t.Errorf("%v after %d of 10000 items, want an early end", err, done.Load())
	}
}

func ExampleEach() {
	squares := make([]int, 4)
	err := Each(context.Background(), len(squares), func(_ context.Context, i int) error {
		squares[i] = i * i
		return nil
	})
	fmt.Println(squares, err)
	// Output: [0 1 4 9] <nil>
}
