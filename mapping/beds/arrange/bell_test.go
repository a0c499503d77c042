package arrange

import (
	"math"
	"testing"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
)

// Bells change a sound by what bellGain says, and nothing far from them.
func TestBellsBringOut(t *testing.T) {
	bells := []Bell{{Hz: 500, DB: 6}, {Hz: 2000, DB: 3}}
	gain := bellGain(bells, testRate)
	for _, hz := range []float64{60, 500, 700, 2000, 12000} {
		s := stem{make([]float32, testRate), make([]float32, testRate)}
		for i := range s.left {
			s.left[i] = float32(0.1 * math.Sin(2*math.Pi*hz*float64(i)/testRate))
			s.right[i] = s.left[i]
		}
		before := sound.MeanSquare(s.left[testRate/2:])
		s.bringOut(bells, testRate)
		for side, samples := range [][]float32{s.left, s.right} {
			after := sound.MeanSquare(samples[testRate/2:])
			if got, want := sound.PowerDB(after/before), sound.PowerDB(gain(hz)); math.Abs(got-want) > 0.05 {
				t.Errorf("%g Hz, side %d: changed by %.2f dB, expected %.2f", hz, side, got, want)
			}
		}
	}
	if got := sound.PowerDB(gain(500)); math.Abs(got-6) > 0.2 {
		t.Errorf("a bell of 6 dB at 500 Hz changes that by %.2f dB", got)
	}
	for _, hz := range []float64{60, 12000} {
		if got := sound.PowerDB(gain(hz)); math.Abs(got) > 0.2 {
			t.Errorf("bells at 500 and 2000 Hz change %g Hz by %.2f dB", hz, got)
		}
	}
}

// Whatever the search tries, a part has few bells, apart from one another, and none is higher than the setting allows.
func TestBellsStayWithinTheSetting(t *testing.T) {
	c := newChance(1, 1, 1, 1)
	var bells []Bell
	for range 1000 {
		if more := withBell(bells, Bell{100 * math.Exp2(6*c.unit()), c.between(1, 4)}, 5); more != nil {
			bells = more
		}
	}
	if len(bells) != bellsMost {
		t.Errorf("%d bells, expected %d", len(bells), bellsMost)
	}
	for i, b := range bells {
		if b.DB > 5 {
			t.Errorf("a bell of %.1f dB where 5 are allowed", b.DB)
		}
		for _, other := range bells[:i] {
			if math.Abs(sound.ERBNumber(b.Hz)-sound.ERBNumber(other.Hz)) < bellsApart {
				t.Errorf("bells at %.0f and %.0f Hz are one", b.Hz, other.Hz)
			}
		}
	}
}

// A take that lacks little is brought out where it lacks it; with the setting at 0, none is.
func TestBuriedTakesAreBroughtOut(t *testing.T) {
	parts := []Part{tone(220, 20, 8, 1), tone(220, 20, 7, 2), tone(440, 20, 8, 3), tone(220, 20, 9, 4)}
	leads := &hearing.Course{}
	for i := range parts {
		course := hearing.NewMeasurer(testRate).Course(parts[i].Left, parts[i].Right, nil)
		e, power := course.At(20), 0.0
		for _, p := range e {
			power += p
		}
		leads.Add(e.Times(1 / power))
	}
	company := hearing.Company{Cycles: []*hearing.Course{leads}, Keys: [][]hearing.Companion{{{Power: 1}, {Power: 2}}}}
	for _, mostDB := range []float64{6, 0} {
		s := project.DefaultArrange()
		s.BringOutDB = mostDB
		bed, err := Bed(parts, company, s, 15*testRate, testRate, 1)
		if err != nil {
			t.Fatal(err)
		}
		bells := 0
		for _, laid := range bed.Laid {
			for _, b := range laid.Bells {
				bells++
				if b.DB <= 0 || b.DB > mostDB {
					t.Errorf("a bell of %.1f dB where 0 to %g are allowed", b.DB, mostDB)
				}
			}
		}
		if (bells > 0) != (mostDB > 0) {
			t.Errorf("%d bells where each may be %g dB high", bells, mostDB)
		}
	}
}
