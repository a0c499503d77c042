// The crossfade between two beds of a cycle.

package stream

import (
	"math"
	"sync"
	"sync/atomic"
)

// join is the crossfade at the end of one bed. What it needs to know of the
// sound, it measures when the join is first read: never on the audio thread.
type join struct {
	measuring sync.Mutex
	gains     atomic.Pointer[joinLaw]
}

// joinLaw keeps the level even through a crossfade. The gains start from
// cos and sin, which keep the power of unrelated signals; where the two sides
// are related by a correlation rho, their sum has the power
//
//	P1·g1² + P2·g2² + 2·rho·√(P1·P2)·g1·g2
//
// and both are divided by what that exceeds P1·g1² + P2·g2². With equal sides
// (rho 1) this is the equal-gain law, g1 + g2 = 1. (Textbook; common practice.)
type joinLaw struct {
	powerOut, powerIn, cross float64 // cross is rho·√(P1·P2)
}

// leastCorrelation bounds the lift where the sides cancel each other: 3 dB.
const leastCorrelation = -0.5

func newJoinLaw(powerOut, powerIn, cross float64) *joinLaw {
	level := math.Sqrt(powerOut * powerIn)
	return &joinLaw{powerOut, powerIn, min(max(cross, leastCorrelation*level), level)}
}

// at returns the gains of the outgoing and the incoming side, part of the way
// through, 0 ≤ part ≤ 1.
func (l *joinLaw) at(part float64) (out, in float64) {
	in, out = math.Sincos(part * math.Pi / 2)
	apart := l.powerOut*out*out + l.powerIn*in*in
	if together := apart + 2*l.cross*out*in; apart > 0 && together > 0 {
		lift := math.Sqrt(apart / together)
		out, in = out*lift, in*lift
	}
	return out, in
}

// joinPiece is how many frames of a join are read at a time.
const joinPiece = 2048

var joinScratch = sync.Pool{New: func() any { return new([2 * joinPiece]float32) }}

// law measures join i once, over the whole overlap and both channels.
func (c *Cycle) law(i int) (*joinLaw, error) {
	j := &c.joins[i]
	if law := j.gains.Load(); law != nil {
		return law, nil
	}
	j.measuring.Lock()
	defer j.measuring.Unlock()
	if law := j.gains.Load(); law != nil {
		return law, nil
	}
	out, in := joinScratch.Get().(*[2 * joinPiece]float32), joinScratch.Get().(*[2 * joinPiece]float32)
	defer joinScratch.Put(out)
	defer joinScratch.Put(in)
	var powerOut, powerIn, cross float64
	for at := int64(0); at < c.overlap; {
		n := min(c.overlap-at, joinPiece)
		if err := c.readSides(out[:2*n], in[:2*n], i, at); err != nil {
			return newJoinLaw(0, 0, 0), err
		}
		for k, a := range out[:2*n] {
			a, b := float64(a), float64(in[k])
			powerOut += a * a
			powerIn += b * b
			cross += a * b
		}
		at += n
	}
	law := newJoinLaw(powerOut, powerIn, cross)
	j.gains.Store(law)
	return law, nil
}

// readSides reads both sides of join i; where one cannot be read, the other is.
func (c *Cycle) readSides(out, in []float32, i int, at int64) error {
	failedOut := readOrSilence(c.beds[i], out, c.used[i]-c.overlap+at)
	failedIn := readOrSilence(c.beds[(i+1)%len(c.beds)], in, at)
	if failedOut != nil {
		return failedOut
	}
	return failedIn
}

// readJoin mixes frames of join i from frame at of its overlap on.
func (c *Cycle) readJoin(dst []float32, i int, at int64) error {
	law, failed := c.law(i)
	scratch := joinScratch.Get().(*[2 * joinPiece]float32)
	defer joinScratch.Put(scratch)
	for len(dst) > 0 {
		n := min(int64(len(dst)/2), joinPiece)
		side := scratch[:2*n]
		if err := c.readSides(dst[:2*n], side, i, at); err != nil {
			failed = err
		}
		c.mixSides(dst[:2*n], side, law, at)
		dst, at = dst[2*n:], at+n
	}
	return failed
}

// mixSides fades dst, the outgoing side, into the incoming one. The law is
// computed at knots on a fixed grid of the join and runs straight between them:
// at 1/4096 of a join apart, that is within 2·10⁻⁸ of it.
func (c *Cycle) mixSides(dst, incoming []float32, law *joinLaw, at int64) {
	stride := max(c.overlap/4096, 1)
	part := func(frame int64) float64 { return (float64(frame) + 0.5) / float64(c.overlap) }
	for len(dst) > 0 {
		knot := at / stride * stride
		n := min(int64(len(dst)/2), knot+stride-at)
		out, in := law.at(part(knot))
		outNext, inNext := law.at(part(knot + stride))
		outSlope, inSlope := (outNext-out)/float64(stride), (inNext-in)/float64(stride)
		for k := range n {
			past := float64(at + k - knot)
			outGain, inGain := float32(out+outSlope*past), float32(in+inSlope*past)
			dst[2*k] = outGain*dst[2*k] + inGain*incoming[2*k]
			dst[2*k+1] = outGain*dst[2*k+1] + inGain*incoming[2*k+1]
		}
		dst, incoming, at = dst[2*n:], incoming[2*n:], at+n
	}
}
