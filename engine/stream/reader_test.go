package stream

import (
	"math/rand/v2"
	"testing"
	"testing/synctest"
	"time"
)

// player is one voice of an audio thread that plays at random steps, restarts
// often, at times does not wait for its workers, and proves every frame it gets.
type player struct {
	feed    *Feed
	heads   []*Head
	random  *rand.Rand
	from    int64
	fading  bool // the first no was given: silent from the next stretch on
	playing bool
	reached int64 // note frames proved beyond heads
	resumes int
}

func (p *player) play(t *testing.T) {
	if !p.playing || p.random.IntN(60) == 0 {
		p.feed.Start(p.heads[p.random.IntN(len(p.heads))], oneStep)
		p.from, p.fading, p.playing = 0, false, true
	}
	n := 1 + p.random.IntN(WindowFrames)
	to := p.from + int64(n)
	if p.random.IntN(8) != 0 {
		for deadline := 0; p.feed.end() < to+KeptFrames && deadline < 1000; deadline++ {
			time.Sleep(20 * time.Microsecond)
		}
	}
	ready := p.feed.Ready(p.from, to, oneStep)
	if ready || !p.fading { // at the first no the stretch is there still
		wantWindow(t, p.feed, p.from, n)
		if p.from >= p.feed.head.frames() {
			p.reached += int64(n)
		}
	}
	if ready && p.fading {
		p.resumes++
	}
	p.fading = !ready
	p.from += int64(p.random.IntN(n)) + 1
	if p.random.IntN(500) == 0 {
		p.feed.Stop()
		p.playing = false
	}
}

// Every frame that voices get while workers fill their rings is the one due,
// never one of an earlier note or turn. (Run it under the race detector.)
func TestVoicesGetTheirOwnFramesWhileWorkersRead(t *testing.T) {
	cycle := indexCycle(t, 1_000_003)
	var heads []*Head
	for _, start := range []int64{0, 250_001, 990_000, 1_000_002} {
		heads = append(heads, newHead(t, cycle, start, leastHead))
	}
	reader := NewReader(3, leastRing)
	reader.Start(2)
	defer reader.Close()
	var players []*player
	for i := range 3 {
		players = append(players, &player{feed: reader.Feed(i), heads: heads,
			random: rand.New(rand.NewPCG(uint64(i), 1))})
	}
	for range 2500 {
		for _, p := range players {
			p.play(t)
		}
	}
	var reached int64
	resumes := 0
	for _, p := range players {
		reached, resumes = reached+p.reached, resumes+p.resumes
	}
	if reached == 0 {
		t.Error("no voice came beyond its head")
	}
	if err, n := reader.Err(), reader.Errors(); err != nil {
		t.Errorf("%v, %d errors", err, n)
	}
	t.Logf("%d frames beyond heads, %d misses, %d resumed", reached, reader.Misses(), resumes)
}

// ahead is how many frames have been read for a voice's present order.
func ahead(r *Reader, voice int) int64 { return r.rings[voice].available() }

// The voice that would run dry first is served first.
func TestEarliestDeadlineFirst(t *testing.T) {
	cycle := indexCycle(t, 1_000_003)
	long, short := newHead(t, cycle, 0, longestHead), newHead(t, cycle, 0, leastHead)

	t.Run("faster step", func(t *testing.T) {
		reader := NewReader(2, leastRing)
		reader.Feed(0).Start(long, oneStep)
		reader.Feed(1).Start(long, 2*oneStep)
		reader.serve()
		if ahead(reader, 0) != 0 || ahead(reader, 1) == 0 {
			t.Errorf("read %d and %d frames, want the second voice first: it plays twice as fast", ahead(reader, 0),
				ahead(reader, 1))
		}
	})
	t.Run("shorter head", func(t *testing.T) {
		reader := NewReader(2, leastRing)
		reader.Feed(0).Start(long, oneStep)
		reader.Feed(1).Start(short, oneStep)
		reader.serve()
		if ahead(reader, 0) != 0 || ahead(reader, 1) == 0 {
			t.Errorf("read %d and %d frames, want the voice with the shorter head first", ahead(reader, 0),
				ahead(reader, 1))
		}
	})
	t.Run("sounding before new", func(t *testing.T) {
		reader := NewReader(2, leastRing)
		reader.Feed(1).Start(short, oneStep)
		reader.FillAll()
		before := ahead(reader, 1)
		at := leastHead - WindowFrames + before - 3000 // 3000 frames are left
		reader.Feed(1).Ready(at, at+480, oneStep)
		reader.Feed(0).Start(long, oneStep)
		reader.serve()
		if ahead(reader, 0) != 0 || ahead(reader, 1) <= before {
			t.Errorf("read %d and %d frames, want the voice that sounds first: the new one has its head",
				ahead(reader, 0), ahead(reader, 1)-before)
		}
		for reader.serve() {
		}
		if ahead(reader, 0) == 0 {
			t.Error("the new voice was never served")
		}
	})
}

// Rings share what they may take, up to a length beyond which more would not help.
func TestRingsShareTheirMemory(t *testing.T) {
	for mostBytes, want := range map[int64]int64{
		0: 0, LeastRingBytes(3) - 1: 0, LeastRingBytes(3): leastRing, RingBytes(3, 2*leastRing) - 1: leastRing,
		RingBytes(3, 2*leastRing): 2 * leastRing, usualBytes: longestRing, 3 * usualBytes: 2 * longestRing,
		1 << 40: most,
	} {
		got := RingFrames(3, mostBytes)
		if got != want || got > 0 && RingBytes(3, got) > mostBytes {
			t.Errorf("three rings in %d bytes: %d frames each, want %d", mostBytes, got, want)
		}
		if got > 0 && NewReader(3, got).rings[2].size != got {
			t.Errorf("a reader does not make rings of %d frames", got)
		}
	}
}

// While the audio thread is in the middle of writing an order, workers leave it alone.
func TestHalfWrittenOrderIsNotServed(t *testing.T) {
	reader := NewReader(1, leastRing)
	reader.Feed(0).Start(newHead(t, indexCycle(t, 100_003), 0, leastHead), oneStep)
	ring := &reader.rings[0]
	ring.order.Add(1)
	if served, err := ring.fill(pieceFrames); served || err != nil || reader.serve() {
		t.Error("a half-written order was served")
	}
	ring.order.Add(1)
	if !reader.serve() {
		t.Error("a whole order was not served")
	}
}

// A reader is ready for as much as its voices have read ahead, each at its step; a voice that reads nothing is no
// hindrance.
func TestReadyForWhatWasReadAhead(t *testing.T) {
	reader := NewReader(3, 2*leastRing)
	index := indexCycle(t, 1_000_003)
	feed := reader.Feed(1)
	if !reader.Ready(1 << 20) {
		t.Error("not ready in silence")
	}
	feed.Start(newHead(t, index, 0, leastHead), 2*oneStep)
	if !reader.Ready(1000) {
		t.Error("not ready within the head")
	}
	feed.ring.let(0) // the voice is at the end of the head
	if reader.Ready(1) {
		t.Error("ready though nothing was read")
	}
	reader.FillAll()
	most := (2*leastRing - pieceFrames - KeptFrames - WindowFrames) / 2
	if !reader.Ready(most) {
		t.Errorf("not ready for %d frames with full rings", most)
	}
	if feed.Ready(leastHead-WindowFrames, leastHead+2*int64(most), 2*oneStep); reader.Misses() > 0 {
		t.Error("what was ready is missed")
	}
	failing := newCycle(t, 0, 0, failingBed{index.beds[0], 0, 1_000_003})
	head := &Head{cycle: failing, before: headBefore, data: make([]float32, 2*(headBefore+leastHead))}
	reader.Feed(2).Start(head, oneStep)
	reader.Feed(2).ring.let(0)
	reader.FillAll()
	if !reader.Ready(1000) {
		t.Error("a bed that cannot be read is waited for")
	}
}

// slowBed is a bed on a disk that takes so long for each read.
type slowBed struct {
	Bed
	takes time.Duration
}

func (b slowBed) ReadStereo(dst []float32, pos int64) error {
	time.Sleep(b.takes)
	return b.Bed.ReadStereo(dst, pos)
}

// 32 voices play from a disk that takes 20 ms longer for each read, with the heads and rings that a player has in the
// usual memory.
func TestSlowDiskIsReadInTime(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const voices, block, seconds, sharing = 32, 480, 5, 320 // rings that share the memory
		cycle := newCycle(t, 0, 0, slowBed{indexCycle(t, 1_000_003).beds[0], 20 * time.Millisecond})
		head := newHead(t, cycle, 0, longestHead)
		reader := NewReader(voices, RingFrames(sharing, usualBytes))
		reader.Start(Workers)
		for voice := range voices {
			reader.Feed(voice).Start(head, oneStep)
		}
		for from := int64(0); from < seconds*48000; from += block {
			for voice := range voices {
				if reader.Feed(voice).Ready(from, from+block, oneStep) {
					wantWindow(t, reader.Feed(voice), from, block)
				}
			}
			time.Sleep(10 * time.Millisecond)
		}
		if misses := reader.Misses(); misses > 0 {
			t.Errorf("%d late reads, want none", misses)
		}
		reader.Close()
	})
}
