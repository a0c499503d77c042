package arrange

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
)

// A bed of recordings changes more under contrast: over 5 s, by a twentieth more at least, as the median.
func TestContrastLetsTimbreChangeMore(t *testing.T) {
	for name, parts := range unlike(t) {
		var medians []float64
		for _, contrastDB := range []float64{0, 3} {
			s := project.DefaultArrange()
			s.ContrastDB = contrastDB
			changes := changesDB(t, s, parts)
			medians = append(medians, changes[len(changes)/2])
		}
		t.Logf("%s: the timbre changes by %.1f dB, under contrast by %.1f", name, medians[0], medians[1])
		if medians[1] < 1.05*medians[0] {
			t.Errorf("%s: the timbre changes by %.1f dB, under contrast by %.1f", name, medians[0], medians[1])
		}
	}
}

// Whatever two sounds are like, none is changed by more than the setting allows, and none where both are alike.
func TestContrastKeepsWithinItsSetting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		own, mean := shape{}, shape{}
		level, otherLevel := 0.0, 0.0
		for band := range own {
			level += rapid.Float64Range(-6, 6).Draw(t, "step")
			otherLevel += rapid.Float64Range(-6, 6).Draw(t, "other step")
			own[band], mean[band] = level, otherLevel
		}
		mostDB := rapid.Float64Range(0.5, 6).Draw(t, "most")
		gain, squares := bellGain(contrastBells(&own, &mean, mostDB), testRate), 0.0
		for band := range own {
			db := sound.PowerDB(gain(hearing.BandHz(float64(band))))
			squares += db * db / hearing.Bands
		}
		if changedDB := math.Sqrt(squares); changedDB > mostDB {
			t.Fatalf("changed by %.2f dB, where %.2f are allowed", changedDB, mostDB)
		}
		if bells := contrastBells(&own, &own, mostDB); len(bells) > 0 {
			t.Fatalf("set apart from itself by %v", bells)
		}
	})
}

// A take that meets nobody stays as it is, and the samples of one that is set apart are not those that were given,
// which go into other beds too.
func TestContrastLeavesTakesAsTheyAre(t *testing.T) {
	var alone [][]float32
	for _, contrastDB := range []float64{0, 3} {
		s := project.DefaultArrange()
		s.ContrastDB = contrastDB
		bed, err := Bed([]Part{tone(220, 16, 8, 1)}, hearing.Company{}, s, 15*testRate, testRate, 1)
		if err != nil {
			t.Fatal(err)
		}
		alone = append(alone, bed.Left)
	}
	if !slices.Equal(alone[0], alone[1]) {
		t.Error("a take that meets nobody is changed")
	}
	parts := []Part{tone(220, 16, 8, 1), tone(220, 16, 3, 2)}
	left := slices.Clone(parts[0].Left)
	s := project.DefaultArrange()
	s.ContrastDB = 3
	arrangedUnder(t, s, parts, 15, 1)
	if !slices.Equal(parts[0].Left, left) {
		t.Error("the take that was given is changed")
	}
}
