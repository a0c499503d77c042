package voices

import (
	"math"
	"slices"
	"testing"
	"time"
)

const (
	benchBlock = 64
	ringFrames = 16384
)

// fiveDown is five semitones down, 2^(−5/12).
var fiveDown = fixed(math.Exp2(-5.0 / 12))

// fixed returns a step in 32.32 fixed point.
func fixed(step float64) uint64 { return uint64(step * unitStep) }

// choir plays voices in turn, block by block, each round and round in a source ring of its own.
type choir struct {
	mixer         *Mixer
	rings         [][]float32
	pos           []uint64
	before, after uint64
	block         [2 * benchBlock]float32
}

func newChoir(m *Mixer, voices int) *choir {
	before, after := m.Reach()
	c := &choir{mixer: m, before: uint64(before), after: uint64(after)}
	for i := range voices {
		ring := make([]float32, 2*ringFrames)
		for j := range ring {
			ring[j] = float32(math.Sin(float64(j + i)))
		}
		c.rings = append(c.rings, ring)
		c.pos = append(c.pos, (c.before+uint64(i)*997%(ringFrames/2))<<32)
	}
	return c
}

// play mixes one block of every voice.
func (c *choir) play() {
	for i := range c.rings {
		c.mix(i)
	}
}

// playAhead does the same and prefetches each voice's source while the voice before is mixed.
func (c *choir) playAhead() {
	for i := range c.rings {
		if next := i + 1; next < len(c.rings) {
			first := c.pos[next]>>32 - c.before
			last := (c.pos[next]+benchBlock*fiveDown)>>32 + c.after
			Prefetch(c.rings[next][2*first : 2*last])
		}
		c.mix(i)
	}
}

func (c *choir) mix(i int) {
	pos, _ := c.mixer.Mix(c.block[:], c.rings[i], c.pos[i], fiveDown, 0, 0.5, 0.5)
	if pos>>32+benchBlock+c.after > ringFrames {
		pos = c.before<<32 | pos&math.MaxUint32
	}
	c.pos[i] = pos
}

func benchmarkMix(b *testing.B, voices int) {
	for q := Economy; q <= Best; q++ {
		for _, a := range []Arithmetic{AVX2, Portable} {
			if !a.Available() {
				continue
			}
			b.Run(q.String()+"/"+a.String(), func(b *testing.B) {
				c := newChoir(newMixer(b, q, a, 1), voices)
				for b.Loop() {
					c.play()
				}
				perFrame := float64(b.Elapsed().Nanoseconds()) / float64(b.N) / float64(voices*benchBlock)
				b.ReportMetric(perFrame, "ns/frame")
				b.ReportMetric(1e9/48000/perFrame, "voices/core")
			})
		}
	}
}

// BenchmarkMixHot plays one voice whose source and table stay in cache: the kernel alone.
func BenchmarkMixHot(b *testing.B) { benchmarkMix(b, 1) }

// BenchmarkMixCold plays a thousand voices in turn, 131 MB of rings, so that every block's source comes from
// memory.
func BenchmarkMixCold(b *testing.B) { benchmarkMix(b, 1000) }

// BenchmarkPrefetch plays the thousand voices without and with prefetching, in turns, and reports what
// prefetching saves.
func BenchmarkPrefetch(b *testing.B) {
	c := newChoir(newMixer(b, Standard, Fastest, 1), 1000)
	var plain, ahead []time.Duration
	for b.Loop() {
		start := time.Now()
		c.play()
		middle := time.Now()
		c.playAhead()
		plain, ahead = append(plain, middle.Sub(start)), append(ahead, time.Since(middle))
	}
	slices.Sort(plain)
	slices.Sort(ahead)
	quartile := len(plain) / 4 // the faster rounds, those that other work on the machine disturbed least
	b.ReportMetric(100*(1-float64(ahead[quartile])/float64(plain[quartile])), "%saved")
}
