package stream

import "testing"

const oneStep = 1 << 32 // one frame of the cycle for each of output

// indexCycle is a cycle whose every frame says which one it is.
func indexCycle(t testing.TB, frames int64) *Cycle {
	return newCycle(t, 0, 0, &memoryBed{"index", frames, 48000, func(pos int64) (float32, float32) {
		return float32(pos), float32(-pos)
	}})
}

// newHead reads a head as Open does.
func newHead(t testing.TB, cycle *Cycle, start, frames int64) *Head {
	return &Head{cycle: cycle, startFrame: start, before: headBefore,
		data: readFrames(t, cycle, start-headBefore, headBefore+frames)}
}

// wantWindow checks that note frames [from, from+n) are there and are those ones.
func wantWindow(t *testing.T, f *Feed, from int64, n int) {
	t.Helper()
	window := f.Window(from, n)
	if len(window) != 2*n {
		t.Fatalf("note frames %d to %d: %d samples, want %d", from, from+int64(n), len(window), 2*n)
	}
	frames := f.head.cycle.Frames
	for k := range int64(n) {
		want := ((f.head.startFrame+from+k)%frames + frames) % frames
		if window[2*k] != float32(want) || window[2*k+1] != float32(-want) {
			t.Fatalf("note frame %d of [%d, %d) is cycle frame %v, want %d", from+k, from, from+int64(n),
				window[2*k], want)
		}
	}
}

// From the head into the ring and on through turns of the cycle, all windows are
// what ReadFrames gives, those included that overlap or look back before the start.
func TestFeedGivesTheFramesOfTheCycle(t *testing.T) {
	cycle := newCycle(t, 3000, 0, sliceBed("a", 48000, noise(1, 20000)), sliceBed("b", 48000, noise(2, 17011)))
	reader := NewReader(1, leastRing)
	feed := reader.Feed(0)
	feed.Start(newHead(t, cycle, 12345, leastHead), oneStep)
	for from, n := int64(-headBefore), 1; from < 3*cycle.Frames; n = (n*7+1)%WindowFrames + 1 {
		to := from + int64(n)
		reader.FillAll()
		if !feed.Ready(from, to, oneStep) {
			t.Fatalf("not ready at %d", from)
		}
		window, want := feed.Window(from, n), readFrames(t, cycle, 12345+from, int64(n))
		for k, sample := range want {
			if window[k] != sample {
				t.Fatalf("note frame %d: %v, want %v", from+int64(k/2), window[k], sample)
			}
		}
		from += int64(n+1) / 2
	}
	if reader.Misses() != 0 {
		t.Errorf("%d misses", reader.Misses())
	}
}

// A worker that stalls: one no and one miss, the stretch to fade in is still
// there; later the voice comes in where it then is, and nothing sounds twice.
func TestFeedMissesOnceAndRecovers(t *testing.T) {
	const block, frames, start = 480, 1_000_003, 999_000
	oldest := int64(frames) // note frame read
	cycle := newCycle(t, 0, 0, &memoryBed{"index", frames, 48000, func(pos int64) (float32, float32) {
		oldest = min(oldest, (pos-start+frames)%frames)
		return float32(pos), float32(-pos)
	}})
	reader := NewReader(1, leastRing)
	feed := reader.Feed(0)
	feed.Start(newHead(t, cycle, start, leastHead), oneStep)
	reader.FillAll()
	from := int64(0)
	for ; feed.Ready(from, from+block, oneStep); from += block {
		wantWindow(t, feed, from, block)
	}
	if from < leastHead {
		t.Fatalf("not ready at %d, within the head", from)
	}
	wantWindow(t, feed, from, block) // in which it fades
	if reader.Misses() != 1 {
		t.Errorf("%d misses, want 1", reader.Misses())
	}

	for range 100 { // much longer than an order reaches ahead
		from += block
		if feed.Ready(from, from+block, oneStep) {
			t.Fatalf("ready at %d, though nothing was read", from)
		}
		if feed.Window(from, block) != nil {
			t.Fatalf("frames at %d, though nothing was read", from)
		}
	}

	stalledTo, resumed := from, int64(0)
	oldest = frames
	for end := from + 5*skipAhead; from < end; {
		from += block
		reader.FillAll()
		if feed.Ready(from, from+block, oneStep) {
			wantWindow(t, feed, from, block)
			if resumed == 0 {
				resumed = from
			}
		} else if resumed != 0 {
			t.Fatalf("not ready at %d, after it resumed at %d", from, resumed)
		}
	}
	if resumed == 0 {
		t.Error("the voice never came back")
	}
	if oldest < stalledTo {
		t.Errorf("note frame %d was read when the voice was at %d already", oldest, stalledTo)
	}
	if reader.Misses() != 1 {
		t.Errorf("%d misses, want 1", reader.Misses())
	}
}

// A note that starts while the last one's frames are in the ring gets none of them.
func TestFeedGivesNothingOfAnOldOrder(t *testing.T) {
	reader := NewReader(1, leastRing)
	feed, cycle := reader.Feed(0), indexCycle(t, 1_000_003)
	feed.Start(newHead(t, cycle, 0, leastHead), oneStep)
	reader.FillAll()
	feed.Start(newHead(t, cycle, 500_000, leastHead), oneStep)
	if feed.Window(leastHead, 1) != nil {
		t.Error("a frame beyond the head before anything was read for this note")
	}
	reader.FillAll()
	wantWindow(t, feed, leastHead-WindowFrames, WindowFrames)
	wantWindow(t, feed, leastHead, WindowFrames)
	feed.Stop()
	if reader.serve() {
		t.Error("frames were read for a stopped note")
	}
}

func TestFeedAllocatesNothing(t *testing.T) {
	reader := NewReader(1, leastRing)
	feed := reader.Feed(0)
	head := newHead(t, indexCycle(t, 100_003), 50, leastHead)
	allocs := testing.AllocsPerRun(100, func() {
		feed.Start(head, oneStep)
		reader.FillAll()
		for from := int64(0); from < 40000; from += 512 { // the head, the ring, a miss, a new order
			feed.Ready(from, from+512, oneStep)
			feed.Window(from, 512)
		}
		feed.Stop()
	})
	if allocs != 0 {
		t.Errorf("%v allocations a note, want 0", allocs)
	}
}
