package arrange

import (
	"math"
	"testing"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/testsound"
)

// The parts of a bed, each alone, add up to the bed; and each is heard where the bed says that it sounds.
func TestPartsAloneAreTheBed(t *testing.T) {
	const rateHz, frames = 16000, 8 * 16000
	var parts []Part
	for i, hz := range []float64{110, 220, 330, 550} {
		sine := testsound.SineWave(rateHz, hz, -20, 9)
		parts = append(parts, Part{Left: sine, Right: sine, Kind: "held", SteadinessDB: 1, BrightnessHz: hz, Index: i})
	}
	settings := project.DefaultArrange()
	bed, err := Bed(parts, hearing.Company{}, settings, frames, rateHz, 5)
	if err != nil {
		t.Fatal(err)
	}
	left := make([]float64, frames)
	for part := range parts {
		alone, _, err := Alone(parts, part, hearing.Company{}, settings, frames, rateHz, 5)
		if err != nil {
			t.Fatal(err)
		}
		for i, x := range alone {
			left[i] += float64(x)
		}
	}
	off, whole := 0.0, 0.0
	for i, x := range bed.Left {
		off += math.Pow(left[i]-float64(x), 2)
		whole += float64(x) * float64(x)
	}
	if offDB := 10 * math.Log10(off/whole); !(offDB < -30) {
		t.Errorf("the parts together differ from the bed by %.1f dB, want less than -30", offDB)
	}
}
