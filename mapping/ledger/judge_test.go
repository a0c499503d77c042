package ledger

import (
	"context"
	"math"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/hearing"
)

// courseOf is a course of blocks of a quarter of a second: in some bands −40 dB while it sounds, else silence.
func courseOf(first, last int, sounds func(block int) bool, blocks int) *hearing.Course {
	c := &hearing.Course{}
	for block := range blocks {
		var e hearing.Excitation
		if sounds(block) {
			for band := first; band <= last; band++ {
				e[band] = 1e-4
			}
		}
		c.Add(&e)
	}
	return c
}

// yard is one rank of one zone of three keys, two beds of 4 s in one layer and one bed without known takes in the
// other.
func yard() *Instrument {
	m := mapping.New()
	m.OverlapSec, m.SeamFadeDB = 0.5, 0
	m.Zones = []mapping.Zone{{Rank: "C", Root: 60, Low: 58, High: 60, Beds: map[string][]string{
		"soft": {"beds/soft-a.wav", "beds/soft-a.wav"}, "loud": {"beds/loud-a.wav", "beds/loud-b.wav"}}}}
	always := func(int) bool { return true }
	between := func(from, to int) func(int) bool { return func(k int) bool { return k >= from && k < to } }
	return &Instrument{Map: m, Beds: map[string]Bed{
		"beds/soft-a.wav": {Sec: 4, Courses: []*hearing.Course{courseOf(10, 20, always, 16)}},
		"beds/loud-a.wav": {Sec: 4, Contributors: []string{"anna", "ben"}, Courses: []*hearing.Course{
			courseOf(40, 50, between(4, 8), 16), courseOf(60, 62, always, 16)}},
		"beds/loud-b.wav": {Sec: 4, Contributors: []string{"anna"}, Courses: []*hearing.Course{
			courseOf(40, 50, between(4, 12), 16)}},
	}}
}

// A take in bands of its own is heard exactly while it sounds; one of three bands stands out by those that hold its
// power. What nobody knows the takes of is not judged, and where a layer is silent none of its takes is heard.
func TestJudgeKnownAnswers(t *testing.T) {
	l, err := yard().Judge(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(l.Takes) != 3 {
		t.Fatalf("%d takes are judged, want the 3 of the loud layer", len(l.Takes))
	}
	anna := l.Of("beds/loud-a.wav", 0)
	if len(anna.Fares[0].Keys) != 0 || len(anna.Fares[2].Keys) != 3 {
		t.Errorf("sounds on %d keys at dynamics 0 and %d at 127, want 0 and 3", len(anna.Fares[0].Keys),
			len(anna.Fares[2].Keys))
	}
	stretches := anna.Fares[2].Stretches
	if len(stretches) != 1 || stretches[0].FromSec != 1 || stretches[0].ToSec != 2 || !(stretches[0].ByDB > 10) {
		t.Errorf("stands out at %+v, want from 1 to 2 s by more than 10 dB", stretches)
	}
	// A second of 60's bed lasts 2^(1/12) and 2^(2/12) s on the keys below.
	want := (1 + math.Exp2(1./12) + math.Exp2(2./12)) / 3
	if got := anna.Fares[2].Sec(); math.Abs(got-want) > 0.15 {
		t.Errorf("heard for %.2f s of each turn, want about %.2f", got, want)
	}
	if share := l.Of("beds/loud-a.wav", 1).Fares[2].Share(); share < 0.99 {
		t.Errorf("a take of three bands of its own is heard for %.0f %% of its bed", 100*share)
	}
	if d, sec := anna.Best(1); d != 2 && d != 1 || math.Abs(sec-want) > 0.15 {
		t.Errorf("best at %d for %.2f s", Dynamics[d], sec)
	}
	// Once a turn in either bed: 1 s and 2 s of 7 s, most on the lowest key.
	if longest := l.Contributors["anna"]; longest.Key != 58 || math.Abs(longest.Sec-3*math.Exp2(2./12)) > 0.3 {
		t.Errorf("anna is heard for %.2f s on key %d", longest.Sec, longest.Key)
	}
}
