// Two outputs never render at once, whatever comes back from where.

package output

import (
	"sync"
	"sync/atomic"
	"testing"
)

// Many threads call through turns of their own while turns change. render counts who is inside; it is
// written without a lock, so the race detector tells as well.
func TestGateLetsOneThrough(t *testing.T) {
	var inside atomic.Int32
	var doubled atomic.Bool
	renders := 0
	g := gate{render: func(out []float32) {
		if inside.Add(1) > 1 {
			doubled.Store(true)
		}
		renders++
		for i := range out {
			out[i] = 1
		}
		inside.Add(-1)
	}}
	var threads sync.WaitGroup
	for range 4 {
		threads.Go(func() {
			out := make([]float32, 64)
			for range 200 {
				pass := g.next()
				for range 20 {
					pass(out)
				}
			}
		})
	}
	threads.Wait()
	if doubled.Load() {
		t.Error("two threads were inside render at once")
	}
	if renders == 0 {
		t.Error("nobody got through")
	}
}

func TestGateGivesSilenceAfterTurn(t *testing.T) {
	g := gate{render: func(out []float32) { out[0] = 1 }}
	first := g.next()
	out := []float32{0.5}
	if first(out); out[0] != 1 {
		t.Errorf("the output whose turn it is got %g", out[0])
	}
	second := g.next()
	if first(out); out[0] != 0 {
		t.Errorf("an output whose turn is over got %g, want silence", out[0])
	}
	if second(out); out[0] != 1 {
		t.Errorf("its successor got %g", out[0])
	}
	g.shut()
	if second(out); out[0] != 0 {
		t.Errorf("after the end an output got %g, want silence", out[0])
	}
}

func TestGateAllocatesNothing(t *testing.T) {
	g := gate{render: func(out []float32) {}}
	pass, out := g.next(), make([]float32, 128)
	if n := testing.AllocsPerRun(100, func() { pass(out) }); n != 0 {
		t.Errorf("%g allocations a block", n)
	}
}
