package stream

import (
	"math"
	"testing"
)

const (
	joinRateHz  = 48000
	joinOverlap = joinRateHz // 1 s
	joinBed     = 5 * joinRateHz / 2
	joinWindow  = joinRateHz / 10 // 100 ms
)

// meanPowers returns the power of each 100 ms of the cycles, averaged over seeds:
// one window of noise has 9600 samples, so its power alone strays by 0.06 dB.
func meanPowers(t *testing.T, seeds int, cycleOf func(seed uint64) *Cycle) []float64 {
	var powers []float64
	for seed := range uint64(seeds) {
		cycle := cycleOf(seed)
		data := readFrames(t, cycle, 0, cycle.Frames)
		powers = append(powers, make([]float64, len(data)/2/joinWindow-len(powers))...)
		for i := range powers {
			for _, sample := range data[2*i*joinWindow : 2*(i+1)*joinWindow] {
				powers[i] += float64(sample) * float64(sample) / float64(2*joinWindow*seeds)
			}
		}
	}
	return powers
}

// wantEven checks all windows, those of both joins and those between them.
func wantEven(t *testing.T, powers []float64) {
	t.Helper()
	for i, power := range powers {
		if dB := 10 * math.Log10(power/0.01); math.Abs(dB) > 0.3 {
			t.Errorf("%d ms: %+.2f dB beside the beds, want within 0.3 dB", 100*i, dB)
		}
	}
}

func TestJoinOfUnrelatedBedsKeepsThePower(t *testing.T) {
	wantEven(t, meanPowers(t, 3, func(seed uint64) *Cycle {
		return newCycle(t, joinOverlap, 0,
			sliceBed("a", joinRateHz, noise(2*seed, joinBed)), sliceBed("b", joinRateHz, noise(2*seed+1, joinBed)))
	}))
}

// correlate makes the overlap at the top of in related to the one at the end of out.
func correlate(out, in []float32, rho float64) {
	end := out[len(out)-2*joinOverlap:]
	for k, sample := range end {
		in[k] = float32(rho*float64(sample) + math.Sqrt(1-rho*rho)*float64(in[k]))
	}
}

func TestJoinOfRelatedBedsKeepsThePower(t *testing.T) {
	wantEven(t, meanPowers(t, 3, func(seed uint64) *Cycle {
		a, b := noise(2*seed, joinBed), noise(2*seed+1, joinBed)
		correlate(a, b, 0.5)
		correlate(b, a, 0.5)
		return newCycle(t, joinOverlap, 0, sliceBed("a", joinRateHz, a), sliceBed("b", joinRateHz, b))
	}))
}

// Where both sides hold the same signal, the cycle is that signal: within 0.01 dB,
// sample for sample, at both joins.
func TestJoinOfOneSignalLeavesIt(t *testing.T) {
	const apart = joinBed - joinOverlap
	signal := noise(1, 2*apart)
	cut := func(from int64) Bed {
		return &memoryBed{"cut", joinBed, joinRateHz, func(pos int64) (float32, float32) {
			at := 2 * ((from + pos) % (2 * apart))
			return signal[at], signal[at+1]
		}}
	}
	data := readFrames(t, newCycle(t, joinOverlap, 0, cut(0), cut(apart)), -joinOverlap, 2*apart)
	tolerance := math.Pow(10, 0.01/20) - 1
	for k, sample := range data {
		if want := float64(signal[k]); math.Abs(float64(sample)-want) > tolerance*math.Abs(want) {
			t.Fatalf("sample %d is %v, want %v", k, sample, want)
		}
	}
}

// A click would be a jump larger than the beds' own. Where two tones sound
// together their jumps add up, at most by the law's √2 and the slope of its gains.
func TestJoinDoesNotClick(t *testing.T) {
	const frames, overlap = 12000, 2400
	a, b := toneBed("a", 48000, frames, 220), toneBed("b", 48000, frames, 331)
	cycle := newCycle(t, overlap, 0, a, b)
	bedJump := 2 * 0.5 * math.Sin(math.Pi*331/48000)
	gainSlope := 0.5 * 2 * math.Pi / 2 / overlap
	data := readFrames(t, cycle, 0, cycle.Frames+1) // over the last join into the first bed
	for k := 2; k < len(data); k++ {
		into := (int64(k/2) - 1) % (frames - overlap)
		bound := bedJump + gainSlope
		if alone := int64(frames - 2*overlap); into > alone+overlap/100 && into < alone+overlap-overlap/100 {
			bound = math.Sqrt2*bedJump + gainSlope
		}
		if jump := math.Abs(float64(data[k]) - float64(data[k-2])); jump > bound {
			t.Errorf("frame %d: a jump of %.5f, the beds' own is %.5f", k/2, jump, bedJump)
		}
	}
}

// Sides that cancel each other are lifted by no more than 3 dB.
func TestJoinOfOpposedBedsIsBounded(t *testing.T) {
	law := newJoinLaw(1, 1, -1)
	for part := 0.0; part <= 1; part += 1.0 / 64 {
		if out, in := law.at(part); out*out+in*in > 2+1e-9 {
			t.Errorf("%.2f of the way: gains %.3f and %.3f", part, out, in)
		}
	}
}
