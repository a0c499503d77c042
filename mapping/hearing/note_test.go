package hearing

import (
	"math"
	"testing"

	"lapstrake/mapping/sound"
)

// flat is a sound that has the same level in some bands, for so many blocks.
func flat(levelDB float64, blocks, from, to int) *Course {
	var e Excitation
	for band := from; band < to; band++ {
		e[band] = sound.DBToPower(levelDB)
	}
	c := &Course{}
	for range blocks {
		c.Add(&e)
	}
	return c
}

// one is a cycle of one bed that is always there.
func one(takes ...*Course) Cycle { return Cycle{Beds: []Bed{{Sec: 10, Takes: takes}}, Ratio: 1} }

// What a take lacks is told by how far it is below the others: in flat noise of equal bands, the others excite
// 1 + 0.335 + 0.047 times each band's power (both skirts summed), and 6 dB below that a take is heard.
func TestWhatATakeLacks(t *testing.T) {
	otherDB := sound.PowerDB(1 + 1/(math.Pow(10, 0.6)-1) + 1/(math.Pow(10, 1.35)-1))
	for _, belowDB := range []float64{-3, 3, 6, 20} {
		n := NewNote([]Cycle{one(flat(-30, 40, 10, 70)), one(flat(-30-belowDB, 40, 10, 70))})
		m := n.Listen([]float64{1, 1}, 20)[1]
		want := belowDB + otherDB - 6
		if got := m.LackFor(3); math.Abs(got-want) > 0.3 {
			t.Errorf("%v dB below the others: lacks %.2f dB, want %.2f", belowDB, got, want)
		}
		if heard := m.Share() == 1; heard != (want <= 0) || len(m.LackDB) != 80 {
			t.Errorf("%v dB below the others: heard for %v of %d moments", belowDB, m.Share(), len(m.LackDB))
		}
	}
}

// A take that has more bands than four is heard where four of them are free, and not where fewer are.
func TestBandsOfItsOwn(t *testing.T) {
	for free, want := range map[int]float64{8: 1, 4: 1, 3: 0} {
		n := NewNote([]Cycle{one(flat(-30, 40, 20, 40), flat(-30, 40, 60+free, 80), flat(-45, 40, 60, 70))})
		if got := n.Listen([]float64{1}, 10)[2].Share(); got != want {
			t.Errorf("%d bands of its own: heard for %v, want %v", free, got, want)
		}
	}
}

// A pure tone, which has one band or lies between two, is heard where that stands out: from 6 dB below the others
// there on. Soft bands beside it neither help it while it is hidden nor hinder it while it is not.
func TestPureTones(t *testing.T) {
	sidesDB := sound.PowerDB(1 + 1/(math.Pow(10, 0.6)-1) + 1/(math.Pow(10, 1.35)-1)) // as in TestWhatATakeLacks
	for _, bands := range []int{1, 2, 3} {
		for _, belowDB := range []float64{-3, 3, 20} {
			n := NewNote([]Cycle{one(flat(-30, 40, 10, 70), flat(-30-belowDB, 40, 40, 40+bands))})
			want := belowDB + sidesDB - 6
			if m := n.Listen([]float64{1}, 10)[1]; math.Abs(m.LackFor(3)-want) > 0.3 || m.Share() == 1 != (want <= 0) {
				t.Errorf("%d bands, %v dB below: lacks %.2f dB, heard for %v; want %.2f", bands, belowDB,
					m.LackFor(3), m.Share(), want)
			}
		}
	}
	tone := func(toneDB, besideDB float64) *Course {
		var e Excitation
		e[40] = sound.DBToPower(toneDB)
		for _, band := range []int{60, 65, 70} {
			e[band] = sound.DBToPower(besideDB)
		}
		c := &Course{}
		for range 40 {
			c.Add(&e)
		}
		return c
	}
	for name, c := range map[string]struct {
		toneDB, besideDB float64
		want             float64
	}{
		"the tone stands out, what is beside it does not": {-30, -75, 1},
		"the tone is hidden, three soft bands are not":    {-50, -62, 0},
	} {
		n := NewNote([]Cycle{one(flat(-30, 40, 35, 45), flat(-68, 40, 45, 80), tone(c.toneDB, c.besideDB))})
		if got := n.Listen([]float64{1}, 10)[2].Share(); got != c.want {
			t.Errorf("%s: heard for %v, want %v", name, got, c.want)
		}
	}
}

// A sine as it is measured, at any pitch and moved by any interval, counts as a tone: its main bands are fewer than
// four.
func TestMeasuredSineIsAPureTone(t *testing.T) {
	const rateHz = 48000
	for hz := 60.0; hz < 8000; hz *= 1.13 {
		sine := make([]float32, rateHz)
		for i := range sine {
			sine[i] = float32(0.3 * math.Sin(2*math.Pi*hz*float64(i)/rateHz))
		}
		course := NewMeasurer(rateHz).Course(sine, sine, nil)
		for _, ratio := range []float64{1, 0.53, 0.84} {
			n := NewNote([]Cycle{{Beds: []Bed{{Sec: 1, Takes: []*Course{course}}}, Ratio: ratio}})
			for block := 1; block < course.Blocks()-1; block++ {
				if n.Takes[0].main[block].count == 0 {
					t.Errorf("%.0f Hz, %v times as fast, block %d: %d main bands", hz, ratio, block,
						n.Takes[0].main[block].count)
				}
			}
		}
	}
}

// What is below the threshold in quiet is not heard, though nobody lies over it.
func TestBelowTheThreshold(t *testing.T) {
	n := NewNote([]Cycle{one(flat(-30, 40, 30, 50), flat(-45, 40, 0, 6))})
	m := n.Listen([]float64{1}, 10)[1]
	// 20 bands of −30 dB are 65 dB SPL, so −45 dB is 65 − 13 − 15 = 37; four bands from 40 Hz up need 54.
	want := ThresholdDB(BandHz(2)) - (65 - 10*math.Log10(20) - 15)
	if got := m.LackFor(1); math.Abs(got-want) > 1 {
		t.Errorf("lacks %.1f dB, want %.1f", got, want)
	}
	if over := n.Over(1, []float64{1}, 10); len(over) > 0 && over[0].Share > 0.5 {
		t.Errorf("what the ear is too deaf for is buried under %+v", over[0])
	}
}

// Beds take turns: a take is heard for as long as its bed carries the cycle, longer where the note plays it slower,
// and from where the note's start puts it.
func TestTurnsOfBeds(t *testing.T) {
	cycle := Cycle{OverlapSec: 1, StartTurns: 0.25, Ratio: 0.5, Beds: []Bed{
		{Sec: 15, Takes: []*Course{flat(-30, 60, 20, 40)}}, {Sec: 15, Takes: []*Course{flat(-30, 60, 20, 40)}},
	}}
	n := NewNote([]Cycle{cycle})
	if got := n.LongestTurnSec(); got != 56 {
		t.Fatalf("28 s at half the speed: a turn of %v s", got)
	}
	heard := n.Listen([]float64{1}, 112)
	for i, m := range heard {
		if math.Abs(m.SecATurn()-28) > 0.1 {
			t.Errorf("take %d is heard for %v s a turn, want 28", i, m.SecATurn())
		}
	}
	// Turn 0.25 is 7 s into a, alone until 13.5 s: 13 s of the note later b carries.
	if got := float64(heard[1].Steps[0]) * StepSec; math.Abs(got-13) > StepSec {
		t.Errorf("b is there from %v s on, want 13", got)
	}
}

// The layer that lies over a take is named with the bands; freed of those, it lets the take through.
func TestOverAndCut(t *testing.T) {
	low, high := flat(-30, 40, 10, 60), flat(-45, 40, 40, 50)
	n := NewNote([]Cycle{one(flat(-60, 40, 5, 15), low), one(high)})
	over := n.Over(2, []float64{1, 1}, 10)
	if len(over) == 0 || over[0].Take != 1 || over[0].Share < 0.9 {
		t.Fatalf("over the take lie %+v, want the second take", over)
	}
	if o := over[0]; o.LowHz < BandHz(39.4) || o.HighHz > BandHz(49.6) || o.LowHz >= o.HighHz {
		t.Errorf("it lies over it from %.0f to %.0f Hz, want within %.0f to %.0f", o.LowHz, o.HighHz, BandHz(39.5),
			BandHz(49.5))
	}
	if n.Listen([]float64{1, 1}, 10)[2].Share() != 0 ||
		n.Cut(1, BandHz(38)).Listen([]float64{1, 1}, 10)[2].Share() != 1 {
		t.Error("the take is heard before and not after")
	}
	if n.Listen([]float64{0, 1}, 10)[2].Share() != 1 {
		t.Error("a cycle that does not sound lies over others")
	}
	buried, whole := n.Sones(2, []float64{1, 1}, 10)
	alone, _ := n.Sones(2, []float64{0, 1}, 10)
	if !(buried < 0.1*alone) || !(whole > buried) {
		t.Errorf("%.3f sones buried, %.3f alone, in a note of %.1f", buried, alone, whole)
	}
}

// All keys of an instrument of 64 beds of 6 takes and 28 s are listened to in well under a second.
func BenchmarkKeysOfAnInstrument(b *testing.B) {
	var takes []*Course
	for i := range 6 {
		takes = append(takes, flat(-30-float64(i), 60, 5*i, 50+5*i))
	}
	cycle := func(semitones float64) Cycle {
		return Cycle{Beds: []Bed{{15, takes}, {15, takes}}, OverlapSec: 1, Ratio: math.Exp2(semitones / 12)}
	}
	for b.Loop() {
		for key := range 88 {
			low, high := -float64(key%12), -float64((key+6)%12)
			n := NewNote([]Cycle{cycle(low), cycle(low), cycle(high), cycle(high)})
			for _, powers := range [][]float64{{1, 0, 1, 0}, {.5, .5, .5, .5}, {0, 1, 0, 1}} {
				n.Listen(powers, 2*n.LongestTurnSec())
			}
		}
	}
}
