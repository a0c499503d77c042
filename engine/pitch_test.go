// Every key in tune, bent or not.

package engine

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/testsound"
)

// tunedGrid is the default grid of beds in tune with their roots, each a sine.
func tunedGrid(t testing.TB) *project {
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
	if unused, err := mapping.Generate(p.Map, beds, mapping.DefaultGrid()); err != nil || len(unused) > 0 {
		t.Fatal(unused, err)
	}
	return p
}

// requireEveryKey plays each of the 88 keys of one rank after some events, and measures each against its pitch.
func requireEveryKey(t *testing.T, p *project, rank string, first []Event, pitch func(key int) float64) {
	t.Helper()
	all := p.Zones
	defer func() { p.Zones = all }()
	p.Zones = slices.DeleteFunc(slices.Clone(all), func(z mapping.Zone) bool { return z.Rank != rank })
	const apartSec, heldSec = 0.8, 0.7 // within 0.85 s of every start there is no join
	grid, events := mapping.DefaultGrid(), slices.Clone(first)
	for key := grid.LowestKey; key <= grid.HighestKey; key++ {
		at := int64(seconds(apartSec * float64(key-grid.LowestKey)))
		events = append(events, NoteOn(at, 0, byte(key), 100), NoteOff(at+int64(seconds(heldSec)), 0, byte(key)))
	}
	worst, out := 0.0, play(p.open(Settings{}), seconds(apartSec*88), events...)
	for key := grid.LowestKey; key <= grid.HighestKey; key++ {
		want := testsound.KeyHz(pitch(key))
		got := testsound.ToneHz(leftOf(out, apartSec*float64(key-grid.LowestKey)+0.05, 0.6), testRateHz, want)
		worst = max(worst, math.Abs(testsound.Cents(got, want)))
		requireNear(t, fmt.Sprintf("rank %s, key %d, cents off", rank, key), testsound.Cents(got, want), 0, 0.05)
	}
	t.Logf("rank %s, worst key: %.5f cent off", rank, worst)
}

// Each rank of the default grid alone gives each of the 88 keys its pitch (ISO 16:1975).
func TestEveryKeySoundsItsPitch(t *testing.T) {
	p := tunedGrid(t)
	for _, rank := range []string{"C", "F#"} {
		requireEveryKey(t, p, rank, nil, func(key int) float64 { return float64(key) })
	}
}

// Each of the 88 keys has the pitch of its table, whether the map carries it or a bulk dump brings it, with a wheel
// that rests. Published scales, all from memory: meantone of a quarter of a comma, whose fifths are the fourth root of
// 5 (Barbour, Tuning and Temperament, 1951); the just scale of C (Helmholtz, On the Sensations of Tone: 264, 297, 330,
// 352, 396, 440 and 495 Hz); 19 equal steps; 13 equal steps of the twelfth (Mathews, Pierce, Reeves and Roberts, JASA
// 84, 1988).
func TestEveryKeyHasThePitchOfItsTable(t *testing.T) {
	fifth := 12 * math.Log2(math.Pow(5, 0.25))
	meantone := func(key int) float64 {
		fifths := [12]float64{0, 7, 2, -3, 4, -1, 6, 1, 8, 3, -2, 5}[key%12] - 3 // above A, E flat to G sharp
		around := math.Mod(fifths*fifth, 12)
		for around > 2.6 { // B is above A, C below it
			around -= 12
		}
		for around < -9.4 {
			around += 12
		}
		return 69 + float64(12*(key/12-5)) + around
	}
	just := func(key int) float64 {
		hz := [12]float64{264, 264 * 16.0 / 15, 297, 264 * 6.0 / 5, 330, 352, 264 * 45.0 / 32, 396, 264 * 8.0 / 5, 440,
			264 * 9.0 / 5, 495}[key%12]
		return 69 + 12*math.Log2(hz/440) + float64(12*(key/12-5))
	}
	for name, pitch := range map[string]func(key int) float64{
		"meantone": meantone, "just": just,
		"19 steps": func(key int) float64 { return 69 + float64(key-69)*12/19 },
		"twelfth":  func(key int) float64 { return 69 + float64(key-69)*12*math.Log2(3)/13 },
	} {
		t.Run(name, func(t *testing.T) {
			p, tuning := tunedGrid(t), mapping.DefaultTuning()
			tuning.ZonesBy = mapping.ZonesByPitch // so that no key is moved up far, and reaches a join
			p.Tuning = &tuning
			if name != "twelfth" { // whose highest keys lie above the range of a dump
				body := append([]byte{0x7E, 0x7F, 0x08, 0x01, 0}, "lapstrake test  "...)
				for key := range 128 {
					fine := int(math.Round(pitch(key) * (1 << 14)))
					body = append(body, byte(fine>>14), byte(fine>>7&0x7F), byte(fine&0x7F))
				}
				sum := byte(0)
				for _, b := range body {
					sum ^= b
				}
				requireEveryKey(t, p, "C", messageAt(0, append(body, sum&0x7F)), pitch)
			}
			for key := range 128 {
				tuning.KeyCents = append(tuning.KeyCents, 100*(pitch(key)-float64(key)))
			}
			requireEveryKey(t, p, "F#", nil, pitch)
		})
	}
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
