// The race detector makes sync.Pool, which reading uses, forget at random.

//go:build !race

package live

import (
	"runtime"
	"runtime/metrics"
	"testing"

	"lapstrake/engine"
)

// A minute of blocks and messages allocates nothing: counted by the runtime over everything that runs. The audio
// thread, the inputs, the latch, the engine, its read workers and the meters are all in it.
func TestPlayingAllocatesNothing(t *testing.T) {
	p := newPlayerRig(t, 2, 64)
	out := make([]float32, 2*64)
	block := 0
	second := func() {
		for range testRateHz / 64 {
			now := Now()
			p.input.Push(now, engine.KindControl, 1, byte(block%128))
			if block%100 == 0 {
				p.input.Push(now, engine.KindNoteOn, byte(40+block/100%48), 100)
			}
			if block%100 == 90 {
				p.input.Push(now, engine.KindNoteOff, byte(40+block/100%48), 64)
			}
			p.render(out)
			block++
		}
	}
	second()
	runtime.GC()
	sample := []metrics.Sample{{Name: "/gc/heap/allocs:objects"}}
	metrics.Read(sample)
	before := sample[0].Value.Uint64()
	for range 60 {
		second()
	}
	metrics.Read(sample)
	// The runtime itself and the test's own framework allocate now and then.
	if got := sample[0].Value.Uint64() - before; got > 100 {
		t.Errorf("%d objects were allocated in a minute of %d blocks and more messages; expected none", got,
			60*testRateHz/64)
	}
}
