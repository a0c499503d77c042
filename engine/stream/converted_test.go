package stream

import (
	"math"
	"math/cmplx"
	"strings"
	"testing"
)

func TestMixedRatesAreTheSameInAnyPieces(t *testing.T) {
	cycle := newCycle(t, 1500, 0, sliceBed("a", 48000, noise(1, 6000)), sliceBed("b", 44100, noise(2, 7001)))
	if want := int64(6000 + 7001*48000/44100 - 2*1500); cycle.Frames != want || cycle.RateHz != 48000 {
		t.Errorf("%d frames at %d Hz, want %d at 48000", cycle.Frames, cycle.RateHz, want)
	}
	testSource(t, cycle, cycle.Frames)
}

// tonePhasor is a tone's amplitude and phase on the left at the middle of data,
// through a Hann window.
func tonePhasor(data []float32, periods float64) complex128 {
	var sum complex128
	n := len(data) / 2
	for k := range n {
		hann := 1 - math.Cos(2*math.Pi*(float64(k)+0.5)/float64(n))
		at := float64(k) - float64(n-1)/2
		sum += complex(hann*float64(data[2*k]), 0) * cmplx.Exp(complex(0, -2*math.Pi*periods*at))
	}
	return sum * complex(2/float64(n), 0)
}

// A bed of another rate sounds at its own pitch, within 0.05 cent, its own level,
// within 0.1 dB, and its own time.
func TestConvertedBedKeepsPitchLevelAndTime(t *testing.T) {
	const rateHz, seconds, window = 48000, 3, 4800
	for _, bedRateHz := range []int{44100, 96000, 32000} {
		for _, hz := range []float64{100, 1000, 10000} {
			bed, err := newConverted(toneBed("bed", bedRateHz, int64(seconds*bedRateHz), hz), rateHz)
			if err != nil {
				t.Fatal(err)
			}
			phasor := func(pos int64) complex128 {
				data := make([]float32, 2*window)
				if err := bed.ReadStereo(data, pos); err != nil {
					t.Fatal(err)
				}
				// The phase that a sine from frame 0 would have at the window's middle, taken away.
				middle := float64(pos) + (window-1)/2.0
				return tonePhasor(data, hz/rateHz) * cmplx.Exp(complex(0, math.Pi/2-2*math.Pi*hz*middle/rateHz))
			}
			const early, late = 4800, (seconds - 1) * rateHz
			first, last := phasor(early), phasor(late)
			turns := cmplx.Phase(last/first) / (2 * math.Pi)
			cents := 1200 * math.Log2(1+turns/(hz*(late-early)/rateHz))
			if math.Abs(cents) > 0.05 {
				t.Errorf("%d Hz, tone of %v Hz: %+.4f cents", bedRateHz, hz, cents)
			}
			if dB := 20 * math.Log10(cmplx.Abs(first)/0.5); math.Abs(dB) > 0.1 {
				t.Errorf("%d Hz, tone of %v Hz: level %+.3f dB", bedRateHz, hz, dB)
			}
			if lateFrames := cmplx.Phase(first) / (2 * math.Pi * hz) * rateHz; math.Abs(lateFrames) > 0.01 {
				t.Errorf("%d Hz, tone of %v Hz: %+.4f frames early", bedRateHz, hz, lateFrames)
			}
		}
	}
}

// A rate that no conversion can bridge names the bed.
func TestConvertedRefusesRatesTooFarApart(t *testing.T) {
	_, err := NewCycle([]Bed{toneBed("a.wav", 8000, 8000, 100), toneBed("b.wav", 192000, 192000, 100)}, 8000, 0, 0)
	if err == nil || !strings.Contains(err.Error(), "b.wav") {
		t.Errorf("error %v, want one that names b.wav", err)
	}
}
