// The output's level over time.

package live

import (
	"math"
	"testing"
)

const testRateHz = 48000

// faded is what the fader makes of a full-scale constant, in blocks.
func faded(f *fader, frames int) []float64 {
	out := make([]float32, 2*frames)
	for i := range out {
		out[i] = 1
	}
	for at := 0; at < len(out); at += 2 * 256 {
		f.apply(out[at:min(at+2*256, len(out))])
	}
	left := make([]float64, frames)
	for i := range left {
		left[i] = float64(out[2*i])
		if out[2*i] != out[2*i+1] {
			panic("the channels differ")
		}
	}
	return left
}

func largestStep(x []float64) (largest float64) {
	for i := 1; i < len(x); i++ {
		largest = max(largest, math.Abs(x[i]-x[i-1]))
	}
	return largest
}

func TestOutputBeginsLow(t *testing.T) {
	out := faded(newFader(testRateHz), 4*testRateHz)
	if got := 20 * math.Log10(out[0]); math.Abs(got-StartDB) > 0.1 {
		t.Errorf("the first frame is at %.2f dB, expected %d", got, StartDB)
	}
	if got := 20 * math.Log10(out[testRateHz]); got < StartDB+5 || got > StartDB+8 {
		t.Errorf("after a second it is at %.2f dB, expected a rise of 5 to 8 dB", got)
	}
	if got := out[3.2*testRateHz]; got != 1 {
		t.Errorf("after 3.2 s the gain is %v, expected exactly 1", got)
	}
	if step := largestStep(out); step > 1e-4 {
		t.Errorf("the gain steps by %.1g a frame", step)
	}
}

func TestOutputFadesOut(t *testing.T) {
	f := newFader(testRateHz)
	faded(f, 4*testRateHz)
	f.set(2 * silenceDB)
	out := faded(f, testRateHz/2)
	if step := largestStep(out); step > 2e-3 {
		t.Errorf("the gain steps by %.1g a frame", step)
	}
	if last := out[len(out)-1]; last != 0 || !f.silent.Load() {
		t.Errorf("after half a second the gain is %v, silent %v; expected 0 and true", last, f.silent.Load())
	}
}

func TestOutputLevel(t *testing.T) {
	f := newFader(testRateHz)
	f.set(-6)
	out := faded(f, 4*testRateHz)
	if got := 20 * math.Log10(out[len(out)-1]); math.Abs(got+6) > 0.001 {
		t.Errorf("the level is %.3f dB, expected -6", got)
	}
}
