package hearing_test

import (
	"math"
	"testing"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

func floorDBFS(channels [][]float32, rateHz int) float64 {
	power, _ := hearing.NoiseFloor(channels, rateHz)
	sum := 0.0
	for _, p := range power {
		sum += p
	}
	return sound.PowerDB(sum)
}

// White and reddish noise of known levels, alone and under tones of 30 partials, low and high.
func TestNoiseFloorUnderTones(t *testing.T) {
	const rateHz, seconds = 48000, 12
	for _, hz := range []float64{0, 32.7, 440} {
		for _, kind := range []testsound.NoiseKind{testsound.White, testsound.Reddish} {
			const levelDBFS = -60
			left := testsound.NoiseWave(kind, rateHz, seconds*rateHz, levelDBFS, 1)
			right := testsound.NoiseWave(kind, rateHz, seconds*rateHz, levelDBFS, 2)
			for n := 1.0; hz > 0 && n <= 30; n++ {
				for i := range left {
					at := float64(i) / rateHz
					v := float32(0.1 / n * (1 + 0.3*math.Sin(2*math.Pi*0.7*at)) * math.Sin(2*math.Pi*n*hz*at))
					left[i], right[i] = left[i]+v, right[i]+v
				}
			}
			want := levelDBFS + 10*math.Log10(2) // both sides
			got := floorDBFS([][]float32{left, right}, rateHz)
			t.Logf("%.0f Hz, %v noise: floor %.1f dBFS, want %.1f", hz, kind, got, want)
			if math.Abs(got-want) > 1.5 {
				t.Errorf("%.0f Hz, %v noise of %.1f dBFS: found %.1f", hz, kind, want, got)
			}
		}
	}
}

// Recorded notes, held on and on, with noise 20 dB below them: that is their floor.
func TestNoiseFloorOfRecordings(t *testing.T) {
	near, all := 0, 0
	for i, r := range testtakes.In(t, "flute", "bassoon") {
		note := r.Sound.Mono()
		note = note[r.Sound.RateHz/2 : len(note)-r.Sound.RateHz/10]
		note = looped(note, 8*r.Sound.RateHz, r.Sound.RateHz/10)
		want := rmsDB(note) - 20
		noise := testsound.NoiseWave(testsound.White, r.Sound.RateHz, len(note), want, uint64(i))
		got := floorDBFS([][]float32{testsound.Summed(note, noise)}, r.Sound.RateHz)
		if all++; math.Abs(got-want) < 2 {
			near++
		} else {
			t.Logf("%s: floor %.1f dBFS, want %.1f", r.Name, got, want)
		}
	}
	if all == 0 || near < all*9/10 {
		t.Errorf("%d of %d floors within 2 dB", near, all)
	}
}

func rmsDB(samples []float32) float64 { return sound.PowerDB(sound.MeanSquare(samples)) }

// looped repeats a sound by equal-power crossfades.
func looped(samples []float32, frames, fade int) []float32 {
	out := make([]float32, frames+len(samples))
	for from := 0; from < frames; from += len(samples) - fade {
		for i, v := range samples {
			in := math.Sin(math.Pi / 2 * min(float64(min(i, len(samples)-1-i))/float64(fade), 1))
			out[from+i] += float32(in) * v
		}
	}
	return out[fade:frames]
}
