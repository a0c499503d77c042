// Every key in tune, bent or not.

package engine

import (
	"fmt"
	"math"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/testsound"
)

// Each rank of the default grid alone gives each of the 88 keys its pitch (ISO 16:1975), from beds in tune with their
// roots.
func TestEveryKeySoundsItsPitch(t *testing.T) {
	p := newProject(t)
	p.ReleaseSec = 0.02
	var beds []mapping.Bed
	for root := 24; root <= 114; root += 6 {
		path := p.bed(fmt.Sprintf("k%03d.wav", root), sineOf(seconds(2), testsound.KeyHz(float64(root)), 0, 0.1))
		for _, layer := range p.Layers {
			for _, strand := range p.Strands {
				beds = append(beds, mapping.Bed{BedName: mapping.BedName{Layer: layer, Strand: strand, Root: root},
					Path: path})
			}
		}
	}
	grid := mapping.DefaultGrid()
	if unused, err := mapping.Generate(p.Map, beds, grid); err != nil || len(unused) > 0 {
		t.Fatal(unused, err)
	}
	all, worst := p.Zones, 0.0
	const apartSec, heldSec = 0.8, 0.7 // within 0.85 s of every start there is no join
	for _, rank := range []string{"C", "F#"} {
		p.Zones = nil
		for _, zone := range all {
			if zone.Rank == rank {
				p.Zones = append(p.Zones, zone)
			}
		}
		var events []Event
		for key := grid.LowestKey; key <= grid.HighestKey; key++ {
			at := int64(seconds(apartSec * float64(key-grid.LowestKey)))
			events = append(events, NoteOn(at, 0, byte(key), 100), NoteOff(at+int64(seconds(heldSec)), 0, byte(key)))
		}
		out := play(p.open(Settings{}), seconds(apartSec*88), events...)
		for key := grid.LowestKey; key <= grid.HighestKey; key++ {
			want := testsound.KeyHz(float64(key))
			got := testsound.ToneHz(leftOf(out, apartSec*float64(key-grid.LowestKey)+0.05, 0.6), testRateHz, want)
			worst = max(worst, math.Abs(testsound.Cents(got, want)))
			requireNear(t, fmt.Sprintf("rank %s, key %d, cents off", rank, key), testsound.Cents(got, want), 0, 0.05)
		}
	}
	t.Logf("worst key: %.5f cent off", worst)
}

// The wheel moves the pitch by its part of the range, exactly once it has settled.
func TestBendReachesItsRange(t *testing.T) {
	for _, rangeSemitones := range []float64{0, 2, 7, 24} {
		for _, wheel := range []int{0, 4096, BendCentre, 12288, 16383} {
			p := sineProject(t, 0.1)
			p.Map.BendSemitones = rangeSemitones
			out := play(p.open(Settings{}), seconds(0.7), NoteOn(0, 0, 57, 100), Bend(1000, 0, wheel))
			want := testsound.KeyHz(57 + rangeSemitones*float64(wheel-BendCentre)/BendCentre)
			got := testsound.ToneHz(leftOf(out, 0.15, 0.5), testRateHz, want)
			requireNear(t, fmt.Sprintf("range %v, wheel at %d, cents off", rangeSemitones, wheel),
				testsound.Cents(got, want), 0, 0.1)
		}
	}
}

// A bend by a whole tone in one event is a glide, not a step: nothing above −60 dB lies beyond ±200 Hz of the
// band it passes through, which is as narrow as a movement within some milliseconds can be.
func TestBendGlides(t *testing.T) {
	p := sineProject(t, 0.3)
	out := play(p.open(Settings{}), seconds(0.6), NoteOn(0, 0, 69, 100), Bend(int64(seconds(0.3)), 0, 16383))
	got := outsideDB(leftOf(out, 0.13, 0.34), testsound.KeyHz(69)-200, testsound.KeyHz(71)+200)
	t.Logf("outside: %.1f dB", got)
	if got > -60 {
		t.Errorf("a bend puts %.1f dB outside its band, expected at most −60", got)
	}
}
