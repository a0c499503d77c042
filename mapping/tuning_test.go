package mapping

import (
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func hzOf(pitch float64) float64 { return 440 * math.Exp2((pitch-69)/12) }

func cents(ratio float64) float64 { return 1200 * math.Log2(ratio) }

// justC is the just major scale of C: Helmholtz's table at A = 440 Hz has C 264, D 297, E 330, F 352, G 396, A 440 and
// B 495 Hz (On the Sensations of Tone, part I; from memory).
func justC() *Tuning {
	t := DefaultTuning()
	for _, ratio := range []float64{16.0 / 15, 9.0 / 8, 6.0 / 5, 5.0 / 4, 4.0 / 3, 45.0 / 32, 3.0 / 2, 8.0 / 5,
		5.0 / 3, 9.0 / 5, 15.0 / 8, 2} {
		t.ScaleCents = append(t.ScaleCents, cents(ratio))
	}
	return &t
}

func TestPublishedScales(t *testing.T) {
	just := justC()
	for key, want := range map[int]float64{60: 264, 62: 297, 64: 330, 65: 352, 67: 396, 69: 440, 71: 495, 72: 528,
		48: 132, 36: 66} {
		if off := cents(hzOf(just.Pitch(key)) / want); math.Abs(off) > 1e-9 {
			t.Errorf("key %d: %.4f Hz, want %v", key, hzOf(just.Pitch(key)), want)
		}
	}
	// The scale of Bohlen and Pierce repeats at the twelfth: 13 equal steps of 146.304 cents (Mathews, Pierce, Reeves
	// and Roberts 1988, JASA 84, 1214; from memory).
	bohlen := DefaultTuning()
	for i := 1; i <= 13; i++ {
		bohlen.ScaleCents = append(bohlen.ScaleCents, cents(3)*float64(i)/13)
	}
	for key := range 127 {
		if step := 100 * (bohlen.Pitch(key+1) - bohlen.Pitch(key)); math.Abs(step-146.304) > 0.001 {
			t.Errorf("from key %d to the next: %.4f cents, want 146.304", key, step)
		}
	}
	if bohlen.Pitch(69) != 69 {
		t.Errorf("the reference has pitch %v", bohlen.Pitch(69))
	}
	baroque := DefaultTuning()
	baroque.ReferenceHz = 415
	if got := hzOf(baroque.Pitch(60)); math.Abs(got-415*math.Exp2(-9.0/12)) > 1e-9 || baroque.IsEqual() {
		t.Errorf("at A = 415 Hz, C4 has %v Hz", got)
	}
}

// Whatever the scale, the reference has its frequency, keys a period apart have its interval between them, and a table
// of the same pitches, in Hz or in cents, is the same tuning.
func TestTuningsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scale := DefaultTuning()
		scale.ScaleCents = rapid.SliceOfN(rapid.Float64Range(1, 2400), 1, 24).Draw(t, "cents")
		slices.Sort(scale.ScaleCents)
		scale.ScaleKey = rapid.IntRange(0, 127).Draw(t, "scale key")
		scale.ReferenceKey = rapid.IntRange(0, 127).Draw(t, "reference key")
		scale.ReferenceHz = rapid.Float64Range(100, 1000).Draw(t, "reference")
		if got := hzOf(scale.Pitch(scale.ReferenceKey)); math.Abs(cents(got/scale.ReferenceHz)) > 1e-6 {
			t.Fatalf("the reference has %v Hz", got)
		}
		notes := len(scale.ScaleCents)
		byHz, byCents := DefaultTuning(), DefaultTuning()
		for key := range HighestKey + 1 {
			pitch := scale.Pitch(key)
			byHz.KeyHz, byCents.KeyCents = append(byHz.KeyHz, hzOf(pitch)),
				append(byCents.KeyCents, 100*(pitch-float64(key)))
			if key >= notes {
				period := 100 * (pitch - scale.Pitch(key-notes))
				if math.Abs(period-scale.ScaleCents[notes-1]) > 1e-6 {
					t.Fatalf("key %d is %v cents above the key a period below", key, period)
				}
			}
		}
		for key := range HighestKey + 1 {
			want := scale.Pitch(key)
			if math.Abs(byHz.Pitch(key)-want) > 1e-6 || math.Abs(byCents.Pitch(key)-want) > 1e-6 {
				t.Fatalf("key %d: %v by the scale, %v by Hz, %v by cents", key, want, byHz.Pitch(key),
					byCents.Pitch(key))
			}
		}
	})
}

// twoRanks has zones of an octave on two ranks, six semitones apart, roots on top.
func twoRanks() *Map {
	m := New()
	m.SeamFadeDB = 12
	beds := map[string][]string{"soft": {"a.wav", "b.wav"}, "loud": {"a.wav", "b.wav"}}
	for root := 24; root <= 114; root += 6 {
		rank := []string{"C", "F#"}[root/6%2]
		m.Zones = append(m.Zones, Zone{Rank: rank, Root: root, Low: root - 11, High: root, Beds: beds})
	}
	return m
}

// Where zones go by pitch, every key of a 19-tone scale sounds the two zones that the nearest semitone sounds, from no
// farther than an octave, and both together are as loud as on any other key.
func TestZonesNearestToThePitch(t *testing.T) {
	plain, m := twoRanks(), twoRanks()
	tuning := DefaultTuning()
	for i := 1; i <= 19; i++ {
		tuning.ScaleCents = append(tuning.ScaleCents, 1200*float64(i)/19)
	}
	tuning.ZonesBy = ZonesByPitch
	m.Tuning = &tuning
	for key := 21; key <= 108; key++ {
		near := int(math.Round(m.Pitch(key)))
		at := m.ZonesAt(key)
		if !slices.Equal(at, plain.ZonesAt(near)) || len(at) != 2 {
			t.Fatalf("key %d, pitch %.3f: zones %v, want those of key %d, %v", key, m.Pitch(key), at, near,
				plain.ZonesAt(near))
		}
		power := 0.0
		for _, i := range at {
			if shift := m.ShiftSemitones(&m.Zones[i], key); shift > 0.5 || shift < -11.5 {
				t.Errorf("key %d is shifted by %v semitones", key, shift)
			}
			gain := m.ZoneGain(&m.Zones[i], key)
			power += gain * gain
		}
		if math.Abs(power-2) > 1e-9 {
			t.Errorf("key %d: power %v, want 2", key, power)
		}
	}
}

// A map keeps its tuning, to the bit; one that changes nothing leaves no trace; what is wrong is told with its line.
func TestMapKeepsItsTuning(t *testing.T) {
	path := filepath.Join(t.TempDir(), FileName)
	m := twoRanks()
	m.Tuning = justC()
	m.Tuning.Title = "just"
	if err := m.Save(path); err != nil {
		t.Fatal(err)
	}
	again, err := Load(path)
	if err != nil {
		t.Fatal(err)
	}
	for key := range HighestKey + 1 {
		if again.Pitch(key) != m.Pitch(key) {
			t.Fatalf("key %d: pitch %v, saved %v", key, again.Pitch(key), m.Pitch(key))
		}
	}
	equal := DefaultTuning()
	m.Tuning = &equal
	text, err := m.Encode()
	if err != nil {
		t.Fatal(err)
	}
	if again, err = Parse(text, FileName); err != nil || again.Tuning != nil {
		t.Errorf("equal semitones are read as %+v, %v", again.Tuning, err)
	}
	zones, _, _ := strings.Cut(string(text), "[tuning]")
	_, rest, _ := strings.Cut(string(text), "[[zones]]")
	for lines, want := range map[string]string{
		"scale_cents = [100, 0]": "scale_cents[1]: 0: the scale repeats at it; expected more than 0 " +
			"cents",
		"key_hz = [440]":                        "key_hz: 1 numbers: expected 128",
		"reference_hz = 0":                      "reference_hz: 0: expected 1 to 30000 Hz",
		"zones_by = \"ear\"":                    `zones_by: "ear": expected key or pitch`,
		"scale_cents = [1200]\nkey_cents = [1]": "expected one of the three",
		"reference_key = 128":                   "reference_key: 128: expected a MIDI key, 0 to 127",
		"scale = [1200]":                        "no such field",
	} {
		_, err := Parse([]byte(zones+"[tuning]\n"+lines+"\n[[zones]]"+rest), FileName)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %s", lines, err, want)
		}
	}
}

// Every key of a zone begins at one of the starts that the zone is said to have, whatever the tuning: a player has
// read only those.
func TestTunedKeysBeginAtKnownStarts(t *testing.T) {
	m := twoRanks()
	m.Stagger = Stagger{By: ByKey, Starts: GoldenStarts(29)}
	tuning := DefaultTuning()
	for i := 1; i <= 7; i++ {
		tuning.ScaleCents = append(tuning.ScaleCents, 1200*float64(i)/7)
	}
	tuning.ZonesBy = ZonesByPitch
	for _, m.Tuning = range []*Tuning{nil, &tuning} {
		heard := 0
		for i := range m.Zones {
			z := &m.Zones[i]
			for _, keys := range m.KeysOf(i) {
				for key := keys.Low; key <= keys.High; key++ {
					if !slices.Contains(m.ZonesAt(key), i) {
						t.Fatalf("key %d sounds zones %v, zone %d has it", key, m.ZonesAt(key), i)
					}
					if start := m.Start(z, key, 0); !slices.Contains(m.Starts(z), start) {
						t.Fatalf("key %d begins at %v, zone %d has the starts %v", key, start, i, m.Starts(z))
					}
					heard++
				}
			}
		}
		if heard < 100 {
			t.Errorf("%d keys of zones", heard)
		}
	}
}
