package hearing

import (
	"math"
	"math/rand/v2"
	"testing"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/testsound"
)

// A sine's power is in its band, a noise's in all of them by their widths, and both keep their sums.
func TestCourseOfKnownSounds(t *testing.T) {
	const rateHz = 48000
	m := NewMeasurer(rateHz)
	sine := testsound.SineWave(rateHz, BandHz(40), -20, 2) // 20 dB below a sine of full scale: −23 dB on either side
	c := m.Course(sine, sine, nil)
	if c.Blocks() != 8 {
		t.Fatalf("2 s: %d blocks of %v s", c.Blocks(), BlockSec)
	}
	e := c.At(3)
	if db := sound.PowerDB(e[40]); math.Abs(db+20) > 0.5 {
		t.Errorf("a sine of −20 dB on both sides: %.1f dB in its band", db)
	}
	if db := sound.PowerDB(e.sum()); math.Abs(db+20) > 0.3 {
		t.Errorf("a sine of −20 dB on both sides: %.1f dB in all bands", db)
	}
	noise := make([]float32, 20*rateHz)
	for i, r := 0, rand.New(rand.NewPCG(1, 2)); i < len(noise); i++ {
		noise[i] = float32(0.1 * r.NormFloat64())
	}
	c = m.Course(noise, make([]float32, len(noise)), nil)
	var mean Excitation
	for block := range c.Blocks() {
		for band, power := range c.At(block) {
			mean[band] += power / float64(c.Blocks())
		}
	}
	for band := 20; band < Bands; band += 10 {
		hz := BandHz(float64(band)+0.5) - BandHz(float64(band)-0.5)
		want := sound.PowerDB(0.01 * hz / (rateHz / 2))
		// A bin of the spectrum falls into one band as a whole, and the lower bands have two or three.
		if got := sound.PowerDB(mean[band]); math.Abs(got-want) > 1.6 {
			t.Errorf("noise in band %d: %.1f dB, want %.1f", band, got, want)
		}
	}
}

// A gain for each block moves just that block, and a course beyond its ends is silent.
func TestCourseGains(t *testing.T) {
	const rateHz = 8000
	sine := testsound.SineWave(rateHz, 440, -20, 1)
	m := NewMeasurer(rateHz)
	plain, gained := m.Course(sine, sine, nil), m.Course(sine, sine, []float64{1, 0.1, 1, 0})
	band := bandOf(440)
	for block, wantDB := range []float64{0, -10, 0, math.Inf(-1)} {
		was, is := plain.At(block), gained.At(block)
		if gotDB := sound.PowerDB(is[band] / was[band]); gotDB != wantDB && math.Abs(gotDB-wantDB) > 0.6 {
			t.Errorf("block %d: moved by %.1f dB, want %.1f", block, gotDB, wantDB)
		}
	}
	if plain.At(4) != (Excitation{}) || plain.At(-1) != (Excitation{}) {
		t.Error("a course sounds beyond its ends")
	}
	powers := BlockPowers(sine, sine, rateHz)
	if len(powers) != plain.Blocks() || math.Abs(sound.PowerDB(powers[1])+20) > 0.1 {
		t.Errorf("powers of blocks %v, want %d of −20 dB", powers, plain.Blocks())
	}
}

// Playing at another speed moves a tone to where the other pitch lies, with all its power.
func TestMoving(t *testing.T) {
	for _, semitones := range []float64{-11, -7, -0.5, 0, 5, 12} {
		ratio := math.Exp2(semitones / 12)
		m := newMoving(ratio)
		for _, band := range []int{12, 30, 60} {
			var e Excitation
			e[band] = 1
			moved, centre := m.of(&e), 0.0
			for b, power := range moved {
				centre += power * (float64(b) + 0.5)
			}
			want := (sound.ERBNumber(ratio*BandHz(float64(band))) - firstERB) * bandsPerERB
			if math.Abs(moved.sum()-1) > 1e-9 || math.Abs(centre-want) > 0.1 {
				t.Errorf("band %d by %v semitones: power %v around %.2f, want 1 around %.2f", band,
					semitones, moved.sum(), centre, want)
			}
		}
	}
}

// The recursion is the sum over all pairs of bands.
func TestSpreadIsTheSumOverAllBands(t *testing.T) {
	var e Excitation
	for band, r := 0, rand.New(rand.NewPCG(1, 2)); band < Bands; band++ {
		e[band] = sound.DBToPower(-60 * r.Float64())
	}
	got := e.Spread()
	for to := range e {
		want := 0.0
		for from, power := range e {
			slope := 12.0
			if to < from {
				slope = 27
			}
			want += power * math.Pow(10, -slope*math.Abs(float64(to-from))/2/10)
		}
		if math.Abs(got[to]/want-1) > 1e-9 {
			t.Fatalf("band %d: %v, want %v", to, got[to], want)
		}
	}
}
