// What each neighbour's take must be: in tune, clean, true to its kind, and heard at every root.

package boatyard

import (
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/testsound"

	"pgregory.net/rapid"
)

const takeRateHz = 16000

// centsOff measures, by power, the mean distance of a take's fundamental (or root mode) from the equal-tempered key
// between two times. The take is turned back by the key's frequency and summed over
// ten periods at a time, which leaves a band of ±86 cents and cancels every other harmonic; the mean turn from one
// sum to the next is the deviation.
func centsOff(sound []float32, key int, rateHz, fromSec, toSec float64) float64 {
	hz := testsound.KeyHz(key)
	step := cmplx.Exp(complex(0, -2*math.Pi*hz/rateHz))
	block := int(math.Round(10 * rateHz / hz))
	from, to := int(fromSec*rateHz), int(toSec*rateHz)
	pointer := complex(1, 0)
	var sum, last, turn complex128
	for i := from; i < to; i++ {
		sum += pointer * complex(float64(sound[2*i])+float64(sound[2*i+1]), 0)
		pointer *= step
		if (i+1-from)%block == 0 {
			turn += sum * cmplx.Conj(last)
			last, sum = sum, 0
		}
	}
	return 1200 * math.Log2(1+cmplx.Phase(turn)/(2*math.Pi)*rateHz/float64(block)/hz)
}

// loudestSec is the time of the highest sample.
func loudestSec(sound []float32, rateHz float64) float64 {
	at, top := 0, float32(0)
	for i, v := range sound {
		if v > top || -v > top {
			at, top = i, max(v, -v)
		}
	}
	return float64(at/2) / rateHz
}

func apart(sound []float32) *stereo {
	s := &stereo{make([]float64, len(sound)/2), make([]float64, len(sound)/2)}
	for i := range s.left {
		s.left[i], s.right[i] = float64(sound[2*i]), float64(sound[2*i+1])
	}
	return s
}

func TestTakesAreInTune(t *testing.T) {
	t.Parallel()
	for _, m := range Makers() {
		if m.Kind == Noisy {
			continue
		}
		var offs []float64
		for _, key := range []int{42, 54, 69, 84, 102} {
			if key < m.lowKey || key > m.highKey {
				continue
			}
			seeds, from, to := uint64(2), m.tape.leadSec+0.8, 3.5 // after glides and attacks, before the release
			if m.Kind == Struck {
				seeds, to = 3, 1.9
			}
			for seed := range seeds {
				take := m.Take(key, to+0.5, takeRateHz, seed)
				if m.Kind == Struck {
					from = loudestSec(take, takeRateHz) + 0.003
				}
				offs = append(offs, centsOff(take, key, takeRateHz, from, to))
			}
		}
		mean := 0.0
		for _, off := range offs {
			mean += off / float64(len(offs))
			// a dry knock is hard to measure
			if limit := map[Kind]float64{Held: 5, Struck: 12}[m.Kind]; math.Abs(off) > limit {
				t.Errorf("%s: one take is %+.1f cents off, want within %.0f", m.Title, off, limit)
			}
		}
		if math.Abs(mean) > 1 {
			t.Errorf("%s: %+.2f cents off on average, want within 1: %.2f", m.Title, mean, offs)
		}
	}
}

func TestTakesAreClean(t *testing.T) {
	t.Parallel()
	for _, m := range Makers() {
		for _, key := range []int{24, 60, 114} {
			take := m.Take(key, 2, takeRateHz, 7)
			if len(take) != 2*2*takeRateHz {
				t.Fatalf("%s: %d samples, want 2 s of stereo", m.Title, len(take))
			}
			s := apart(take)
			for _, side := range [][]float64{s.left, s.right} {
				mean := 0.0
				for _, v := range side {
					if math.IsNaN(v) || math.IsInf(v, 0) {
						t.Fatalf("%s at key %d: %v", m.Title, key, v)
					}
					mean += v / float64(len(side))
				}
				if testsound.AmplitudeDB(math.Abs(mean)) > -60 {
					t.Errorf("%s at key %d: offset of %.1f dBFS", m.Title, key, testsound.AmplitudeDB(math.Abs(mean)))
				}
			}
			if top := testsound.AmplitudeDB(max(highest(s.left), highest(s.right))); top > -2.5 || top < -20.5 {
				t.Errorf("%s at key %d peaks at %.1f dBFS, want −20 … −3", m.Title, key, top)
			}
			if same := slices.Equal(s.left, s.right); same != m.tape.mono && m.tape.humDB == 0 {
				t.Errorf("%s: both channels alike: %v, recorded in mono: %v", m.Title, same, m.tape.mono)
			}
		}
	}
}

func TestTakesRepeatExactlyAndVaryWithTheSeed(t *testing.T) {
	t.Parallel()
	for _, m := range Makers() {
		first := m.Take(57, 1, takeRateHz, 1)
		if !slices.Equal(first, m.Take(57, 1, takeRateHz, 1)) {
			t.Errorf("%s: the same arguments gave other samples", m.Title)
		}
		if slices.Equal(first, m.Take(57, 1, takeRateHz, 2)) {
			t.Errorf("%s: another seed gave the same samples", m.Title)
		}
	}
}

func TestTakesDoWhatTheirKindSays(t *testing.T) {
	t.Parallel()
	for _, m := range Makers() {
		take := m.Take(60, 5, takeRateHz, 3)
		s := apart(take)
		start := int(loudestSec(take, takeRateHz) * takeRateHz)
		if m.Kind != Struck {
			start = takeRateHz
		}
		late := takeRateHz * 4
		early := testsound.RMS(s.left[start : start+takeRateHz/4])
		fall := testsound.AmplitudeDB(early / testsound.RMS(s.left[late:late+takeRateHz/4]))
		if m.Kind == Struck && fall < 18 {
			t.Errorf("%s is struck, yet falls by only %.1f dB", m.Title, fall)
		}
		if m.Kind == Held && math.Abs(fall) > 9 {
			t.Errorf("%s is held, yet changes by %.1f dB", m.Title, fall)
		}
	}
}

// Small loudspeakers and ears give little below 60 Hz: at the lowest root a sound must not depend on it.
func TestLowestRootIsHeardByItsUpperPartials(t *testing.T) {
	t.Parallel()
	for _, m := range Makers() {
		if m.lowKey > 24 {
			continue
		}
		s := apart(m.Take(24, 3, takeRateHz, 5))
		whole := testsound.RMS(s.left)
		f := highpass(takeRateHz, 90, 0.7)
		f.run(s.left)
		f.run(s.left)
		if lost := testsound.AmplitudeDB(whole / testsound.RMS(s.left)); lost > 6 {
			t.Errorf("%s loses %.1f dB when nothing below 90 Hz is heard", m.Title, lost)
		}
	}
}

// A partial above half the rate would come back below it, out of tune.
func TestNoPartialLiesTooHigh(t *testing.T) {
	t.Parallel()
	for _, rateHz := range []float64{16000, 44100, 96000} {
		for key := 24; key <= 114; key++ {
			p := &player{arena: new(arena), rateHz: rateHz, rootHz: sound.KeyHz(float64(key)), noise: newNoise(1, 2)}
			count := len(p.harmonics(p.rootHz, func(h, hz float64) float64 { return 1 }))
			top := float64(count) * p.rootHz
			for _, b := range []body{plankBody, deckBody, oarBody, bellBody, bladeBody, mastBody, mugBody, glassBody} {
				for _, m := range p.modes(b, p.rootHz) {
					top = max(top, m.hz)
				}
			}
			if top > 0.45*rateHz || count == 0 {
				t.Errorf("key %d at %.0f Hz: %d harmonics, highest partial %.0f Hz", key, rateHz, count, top)
			}
		}
	}
}

func TestAnyTakeHasItsLengthAndIsFinite(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(Makers()).Draw(t, "maker")
		key := rapid.IntRange(0, 127).Draw(t, "key")
		rateHz := rapid.IntRange(8000, 96000).Draw(t, "rateHz")
		frames := rapid.IntRange(1, 3000).Draw(t, "frames")
		take := m.Take(key, float64(frames)/float64(rateHz), rateHz, 1)
		if len(take) != 2*frames {
			t.Fatalf("%s: %d samples for %d frames", m.Title, len(take), frames)
		}
		for i, v := range take {
			if !(math.Abs(float64(v)) <= 1) { // also not a number
				t.Fatalf("%s: sample %d is %v", m.Title, i, v)
			}
		}
	})
}

// brightness is the RMS of the slope over the RMS: a mean frequency, weighted by power, in radians a sample.
func brightness(sound []float32) float64 {
	x := apart(sound).left
	slope := make([]float64, len(x)-1)
	for i := range slope {
		slope[i] = x[i+1] - x[i]
	}
	return testsound.RMS(slope) / testsound.RMS(x)
}

func TestLoudIsBrighterThanSoft(t *testing.T) {
	t.Parallel()
	for _, m := range Makers() {
		if !m.Soft || !m.Loud {
			continue
		}
		soft, loud := brightness(m.In("soft").Take(60, 2, takeRateHz, 9)),
			brightness(m.In("loud").Take(60, 2, takeRateHz, 9))
		if loud < 1.05*soft {
			t.Errorf("%s: loud is %.2f times as bright as soft", m.Title, loud/soft)
		}
	}
}

func TestNeighboursAreMany(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, m := range Makers() {
		if m.Contributor == "" || seen[m.Contributor] || seen[m.Title] {
			t.Errorf("%q by %q: every neighbour sends one sound of its own", m.Title, m.Contributor)
		}
		seen[m.Contributor], seen[m.Title] = true, true
		if !m.Soft && !m.Loud {
			t.Errorf("%s suits no layer", m.Title)
		}
	}
	if len(Makers()) < 16 {
		t.Errorf("%d makers, want at least 16", len(Makers()))
	}
}
