package hearing

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

const testRate = 48000

// seesaw is noise whose upper half (above 1.5 kHz) rises by depth dB either way while the lower half falls, at a rate.
func seesaw(sec, depthDB, hz float64, seed uint64) []float32 {
	chance := rand.New(rand.NewPCG(seed, 1))
	n := int(sec * testRate)
	out := make([]float32, 2*n)
	a := math.Exp(-2 * math.Pi * 1500 / testRate)
	low := make([]float64, 4)
	down, up := 1.0, 1.0
	for i := range n {
		x := chance.NormFloat64()
		y := x
		for k := range low {
			low[k] += (1 - a) * (y - low[k])
			y = low[k]
		}
		if i%64 == 0 {
			swing := depthDB * math.Sin(2*math.Pi*hz*float64(i)/testRate)
			down, up = math.Pow(10, -swing/20), math.Pow(10, swing/20)
		}
		v := 0.1 * (y*down + 0.1*(x-y)*up)
		out[2*i], out[2*i+1] = float32(v), float32(v)
	}
	return out
}

// Bands that rise and fall by 6 dB around their mean have a deviation of about 6/√2 = 4.2 dB, in their own range of
// rates and in no other.
func TestModulationOfAKnownSwing(t *testing.T) {
	timbre := NewTimbre(seesaw(80, 6, 0.08, 1), testRate)
	if db := timbre.ModulationDB(0.02, 0.2); db < 3.2 || db > 4.6 {
		t.Errorf("a swing of ±6 dB at 0.08 Hz: %.2f dB from 0.02 to 0.2 Hz, expected 3.2 to 4.6", db)
	}
	if db := timbre.ModulationDB(0.5, 2); db > 1.7 {
		t.Errorf("the same: %.2f dB from 0.5 to 2 Hz, where nothing but noise moves", db)
	}
	fast := NewTimbre(seesaw(80, 6, 1, 1), testRate)
	if db := fast.ModulationDB(0.02, 0.2); db > 1 {
		t.Errorf("a swing at 1 Hz: %.2f dB from 0.02 to 0.2 Hz, expected under 1", db)
	}
}

// A sound that stands still has the modulation of noise, whatever it is made from.
func TestStationaryStandsStill(t *testing.T) {
	living := seesaw(80, 9, 0.08, 2)
	still := NewTimbre(Stationary(living, 1), testRate).ModulationDB(0.02, 0.2)
	if noise := NewTimbre(seesaw(80, 0, 0, 3), testRate).ModulationDB(0.02, 0.2); still > 1.5*noise {
		t.Errorf("the surrogate moves by %.2f dB, noise by %.2f", still, noise)
	}
}

// A sound that comes back after 20 s is heard again after 20 s.
func TestLongestRepeatOfAKnownPeriod(t *testing.T) {
	for seed := range uint64(5) {
		var frames []float32
		chance := rand.New(rand.NewPCG(seed, 9))
		var turn [][]float32 // 20 seconds, each of its own balance
		for range 20 {
			depth := 24 * (chance.Float64() - 0.5)
			turn = append(turn, seesaw(1, depth, 0.25, chance.Uint64()))
		}
		for range 3 {
			for _, second := range turn {
				frames = append(frames, second...)
			}
		}
		repeat := NewTimbre(frames, testRate).SelfDistance().LongestRepeat(8)
		if repeat.LagSec != 20 || repeat.Sec < 30 {
			t.Errorf("seed %d: %d s are heard again after %d s, expected about 38 after 20", seed,
				repeat.Sec, repeat.LagSec)
		}
	}
}

// What changes all the time is farther from itself after 5 s than what stands still.
func TestChangesTellStillFromLiving(t *testing.T) {
	median := func(frames []float32) float64 {
		all := NewTimbre(frames, testRate).SelfDistance().ChangesDB(5)
		slices.Sort(all)
		return all[len(all)/2]
	}
	if still, living := median(seesaw(40, 0, 0, 4)), median(seesaw(40, 8, 0.1, 4)); still > 1 || living < 5 {
		t.Errorf("changes over 5 s: %.2f dB of noise that stands still, expected under 1; %.2f dB of a swing, "+
			"expected over 5",
			still, living)
	}
}
