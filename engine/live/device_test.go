package live

import (
	"math"
	"math/rand/v2"
	"testing"

	"lapstrake/engine"
)

// device asks an Arrivals for blocks as a sound device does, and takes events as the engine does: a
// whole cell of 64 frames at a time.
type device struct {
	arrivals *Arrivals
	rateHz   float64
	frame    int64 // first of the next block
	cell     int64 // first frame not rendered
	applied  []engine.Event
}

func newDevice(rateHz int) *device {
	return &device{arrivals: NewArrivals(rateHz), rateHz: float64(rateHz)}
}

func (d *device) block(frames int, nowNs float64) {
	d.arrivals.Begin(d.frame, frames, int64(nowNs))
	for d.frame += int64(frames); d.cell < d.frame; d.cell += engine.CellFrames {
		for {
			event, some := d.arrivals.Peek()
			if !some || event.Frame >= d.cell+engine.CellFrames {
				break
			}
			d.arrivals.Pop()
			event.Frame = max(event.Frame, d.cell)
			d.applied = append(d.applied, event)
		}
	}
}

// run asks for count blocks, each asked for lateNs(i) after it is due, and gives input the notes
// that are due at the times in notesNs, which rise. It returns when the next block is due.
func (d *device) run(input *Input, startNs float64, count, frames int, lateNs func(int) float64,
	notesNs []float64) float64 {
	lengthNs := float64(frames) / d.rateHz * 1e9
	askedNs := startNs
	for i := range count {
		askedNs = max(askedNs, startNs+float64(i)*lengthNs+lateNs(i))
		for len(notesNs) > 0 && notesNs[0] <= askedNs {
			input.Push(int64(notesNs[0]), engine.KindNoteOn, 60, 100)
			notesNs = notesNs[1:]
		}
		d.block(frames, askedNs)
	}
	return startNs + float64(count)*lengthNs
}

func newInput(t testing.TB, a *Arrivals) *Input {
	t.Helper()
	input, err := a.Open()
	if err != nil {
		t.Fatal(err)
	}
	return input
}

// callbackJitter is lateness as was measured of callbacks on a busy machine: nearly always some
// tens of microseconds, one in a hundred over 1 ms.
func callbackJitter(random *rand.Rand) func(int) float64 {
	return func(int) float64 {
		late := random.ExpFloat64() * 40e3
		if random.IntN(100) == 0 {
			late += random.Float64() * 3e6
		}
		return late
	}
}

func every(startNs, stepNs float64, count int) (timesNs []float64) {
	for i := range count {
		timesNs = append(timesNs, startNs+float64(i)*stepNs)
	}
	return timesNs
}

// worstSpacingMs is how far the distance of any two neighbours is from stepNs.
func (d *device) worstSpacingMs(stepNs float64) (worstMs float64) {
	for i := 1; i < len(d.applied); i++ {
		gotNs := float64(d.applied[i].Frame-d.applied[i-1].Frame) / d.rateHz * 1e9
		worstMs = max(worstMs, math.Abs(gotNs-stepNs)/1e6)
	}
	return worstMs
}
