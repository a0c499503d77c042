package arrange

import (
	"slices"
	"testing"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
)

// A bed never stands still, and does not lurch from one state to another either: over 5 s the timbre changes by 3.5 dB
// at least in nine tenths of the moments, and in nine tenths by no more than two and a half times what it does in the
// stillest tenth. Log-spectral distance as in Gray & Markel 1976; 1 dB is about where listeners notice (from memory).
func TestTimbreChangesEvenly(t *testing.T) {
	for name, parts := range unlike(t) {
		changes := changesDB(t, project.DefaultArrange(), parts)
		least, middle, most := changes[len(changes)/10], changes[len(changes)/2], changes[len(changes)*9/10]
		t.Logf("%s: %.1f, %.1f, %.1f dB, %.2f times", name, least, middle, most, most/least)
		if least < 3.5 || middle < 5 || most > 2.5*least {
			t.Errorf("%s: the timbre changes by %.1f, %.1f, %.1f dB over 5 s", name, least, middle, most)
		}
	}
}

// unlike are the recordings of beds whose takes differ in kind.
func unlike(t *testing.T) map[string][]Part {
	t.Helper()
	all := recordedBeds(t)["all"]
	return map[string][]Part{
		"held and struck": {all[0], all[2], all[4], all[5]}, "with noise": {all[1], all[3], all[5], all[6]},
	}
}

// changesDB are the changes of a bed's timbre over 5 s, under four seeds, the least first.
func changesDB(t *testing.T, s project.ArrangeSettings, parts []Part) (changes []float64) {
	t.Helper()
	for seed := range uint64(4) {
		bed := arrangedUnder(t, s, parts, 15, seed)
		frames := make([]float32, 0, 2*len(bed.Left))
		for i, l := range bed.Left {
			frames = append(frames, l, bed.Right[i])
		}
		changes = append(changes, hearing.NewTimbre(frames, testRate).SelfDistance().ChangesDB(5)...)
	}
	slices.Sort(changes)
	return changes
}
