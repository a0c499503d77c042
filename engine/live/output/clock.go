// An output without a device: the monotonic clock asks for the blocks, so that playing and recording go on.

package output

import (
	"sync/atomic"
	"time"
)

// longestDelay is how far the clock output may lag before it lets the time go rather than race after it.
const longestDelay = 500 * time.Millisecond

// pace tells when blocks are due. Every deadline is counted from the beginning, so no rounding adds up.
type pace struct {
	rateHz int
	begin  time.Duration // on the caller's clock
	frames int64         // asked for since begin
}

// wait is how long to wait at the time now until the next block is due: 0 when it is due or late. After
// a stall longer than longestDelay it skips forward: the next block is due at now.
func (p *pace) wait(now time.Duration) time.Duration {
	// Whole seconds apart from the rest: frames × 10⁹ would overflow after 53 h at 48 kHz.
	rate := int64(p.rateHz)
	due := p.begin + time.Duration(p.frames/rate)*time.Second + time.Duration(p.frames%rate*int64(time.Second)/rate)
	if now-due > longestDelay {
		p.begin, p.frames = now, 0
		return 0
	}
	return max(due-now, 0)
}

func (p *pace) advance(frames int) { p.frames += int64(frames) }

// clockConnection calls render by the clock.
type clockConnection struct {
	called atomic.Int64
	stop   chan struct{}
	ended  chan struct{}
}

func (c *clockConnection) counts() (calls, underruns int64) { return c.called.Load(), 0 }

func (c *clockConnection) close() error {
	close(c.stop)
	<-c.ended
	return nil
}

// OpenClock opens an output that has no device: render is called by the monotonic clock, and what it gives is
// heard by nobody.
func OpenClock(rateHz, blockFrames int, render func(out []float32)) *Output {
	return openClockBehind(rateHz, blockFrames, 0, nil, render)
}

// catchUpSpeed is how many times faster than it is played the sound of the time behind is asked for: so fast that it
// is soon over, and so slow that what reads ahead from the disk keeps up.
const catchUpSpeed = 8

// longestWait is how long the blocks of the time behind may wait together until they are ready.
const longestWait = 500 * time.Millisecond

// openClockBehind first asks for what was due in the time behind, so that a recording keeps its time. Where ready is
// not nil, each block waits for it.
func openClockBehind(rateHz, blockFrames int, behind time.Duration, ready func(frames int) bool,
	render func(out []float32)) *Output {
	if blockFrames == 0 {
		blockFrames = defaultBlockFrames
	}
	c := &clockConnection{stop: make(chan struct{}), ended: make(chan struct{})}
	block := make([]float32, 2*blockFrames)
	oneBlock := time.Duration(blockFrames) * time.Second / time.Duration(rateHz)
	began, waited := time.Now(), time.Duration(0)
	for asked := time.Duration(0); behind+time.Since(began)-asked >= oneBlock; asked += oneBlock {
		for ; ready != nil && waited < longestWait && !ready(blockFrames); waited += time.Millisecond {
			time.Sleep(time.Millisecond)
		}
		render(block)
		c.called.Add(1)
		time.Sleep(oneBlock / catchUpSpeed)
	}
	go c.run(rateHz, block, render)
	return &Output{
		Device: Device{Name: "no device", Host: "clock", Channels: 2, RateHz: rateHz},
		RateHz: rateHz, BlockFrames: blockFrames, connection: c,
	}
}

func (c *clockConnection) run(rateHz int, block []float32, render func(out []float32)) {
	defer close(c.ended)
	began := time.Now()
	p := pace{rateHz: rateHz}
	timer := time.NewTimer(0)
	defer timer.Stop()
	for {
		select {
		case <-c.stop:
			return
		case <-timer.C:
		}
		if wait := p.wait(time.Since(began)); wait > 0 {
			timer.Reset(wait)
			continue
		}
		render(block)
		c.called.Add(1)
		p.advance(len(block) / 2)
		timer.Reset(p.wait(time.Since(began)))
	}
}
