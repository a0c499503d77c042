// What a row means: pitch by key, layers and strands, the octave in a name, suggestions.

package takes

import (
	"fmt"
	"math"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/takes/measure"
)

// hzOf is by ISO 16: key 69 is 440 Hz, an octave 12 keys.
func hzOf(key int, cents float64) float64 {
	return 440 * math.Pow(2, (float64(key-69)+cents/100)/12)
}

func TestHzByTheBuildersKey(t *testing.T) {
	for _, c := range []struct {
		key        int
		hz, wantHz float64
	}{
		{-1, hzOf(60, 12), hzOf(60, 12)},   // as measured
		{60, hzOf(60, 12), hzOf(60, 12)},   // the same note: its own tuning
		{60, hzOf(72, -30), hzOf(60, -30)}, // an octave off: the tuning stays
		{60, hzOf(36, 5), hzOf(60, 5)},     // two octaves
		{60, hzOf(67, 0), hzOf(60, 0)},     // another note: the key's own pitch
		{60, hzOf(60, 70), hzOf(60, 0)},    // nearer to the next key
		{60, math.NaN(), hzOf(60, 0)},      // no pitch found
		{-1, math.NaN(), math.NaN()},
	} {
		row := NewRow("a.wav")
		row.Key, row.Pitch.Hz = c.key, c.hz
		if got := row.Hz(); !(math.Abs(got-c.wantHz) < 1e-9 || math.IsNaN(got) && math.IsNaN(c.wantHz)) {
			t.Errorf("key %d, measured %v Hz: %v Hz, want %v", c.key, c.hz, got, c.wantHz)
		}
	}
}

func TestKeysInNames(t *testing.T) {
	for name, want := range map[string][]int{
		"flute/F#3.wav": {54, 66}, "piano/Ds1v10.flac": {27, 39}, "horn_Bb2_loud.wav": {46, 58}, "C4/take.wav": nil,
		"anna c4.mp3": {60, 72}, "k060.wav": {60}, "note 48.wav": {48}, "take2.wav": nil, "cab1.wav": nil,
		"A2 and A3.wav": nil, "A2-A2.wav": {45, 57}, "E12.wav": nil, "h3.wav": nil, "crow.wav": nil, "k999.wav": nil,
	} {
		if got := nameKeys(name); fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
}

// named is a sheet of takes whose names tell a note and that sound so many keys higher.
func named(sounds map[string]int) *Sheet {
	s := NewSheet(SheetOptions{})
	for name, key := range sounds {
		row := NewRow(name + ".wav")
		row.Kind, row.Pitch = measure.Held, measure.Pitch{Hz: hzOf(key, -20), Confidence: 0.9}
		s.Rows = append(s.Rows, row)
	}
	return s
}

// One file named by the other convention, or by none, stands out; a collection that is named by the
// other convention does not, and the report says so.
func TestWrongOctaves(t *testing.T) {
	for _, c := range []struct {
		sounds map[string]int
		wrong  string
		hint   mapping.Naming
	}{
		{map[string]int{"C4": 60, "D4": 62, "E4": 64, "F4": 65}, "map[]", ""},
		{map[string]int{"C4": 60, "D4": 62, "E4": 64, "F4": 77}, "map[F4.wav:true]", ""},
		{map[string]int{"C4": 60, "D4": 62, "E4": 64, "F4": 41}, "map[F4.wav:true]", ""},
		{map[string]int{"C4": 60, "D4": 62, "E4": 64, "F4": 66}, "map[]", ""}, // another note: not an octave
		{map[string]int{"C3": 60, "D3": 62, "E3": 64, "F3": 65}, "map[]", mapping.MiddleC3},
		{map[string]int{"C3": 60, "D4": 62}, "map[]", ""}, // too few to tell
		{map[string]int{"k060": 72}, "map[k060.wav:true]", ""},
	} {
		s := named(c.sounds)
		s.setFlags()
		wrong := map[string]bool{}
		for i := range s.Rows {
			if s.Rows[i].Has(measure.WrongOctave) {
				wrong[s.Rows[i].Path] = true
			}
		}
		if fmt.Sprint(wrong) != c.wrong {
			t.Errorf("%v: wrong are %v, want %s", c.sounds, wrong, c.wrong)
		}
		if hint := (&Report{Sheet: s}).NamingHint(); hint != c.hint {
			t.Errorf("%v: hint %q, want %q", c.sounds, hint, c.hint)
		}
	}
}

// Forty takes: louder and brighter ones are suggested as loud at every height, every layer and
// strand gets its share, and a new take moves no other.
func TestSuggestions(t *testing.T) {
	s := NewSheet(SheetOptions{})
	add := func(i int, loud, lively bool) {
		row := NewRow(fmt.Sprintf("%d-%v-%v.wav", i, loud, lively))
		row.Kind, row.Pitch = measure.Held, measure.Pitch{Hz: hzOf(30+2*i, 0), Confidence: 0.9}
		row.KLevelLUFS, row.BrightnessHz, row.AttackSec, row.SteadinessDB = -30, 2*row.Pitch.Hz, 0.5, 0.5
		if loud {
			row.KLevelLUFS, row.BrightnessHz = -15, 6*row.Pitch.Hz
		}
		if lively {
			row.AttackSec, row.SteadinessDB = 0.02, 3
		}
		s.Rows = append(s.Rows, row)
	}
	for i := range 40 {
		add(i, i%2 == 0, i/2%2 == 0)
	}
	s.suggest()
	right := 0
	count := map[string]int{}
	for i := range s.Rows {
		row := &s.Rows[i]
		count[row.SuggestedLayer+row.SuggestedStrand]++
		if (row.SuggestedLayer == "loud") == (i%2 == 0) && (row.SuggestedStrand == "b") == (i/2%2 == 0) {
			right++
		}
	}
	if right < 38 || count["softa"] < 8 || count["softb"] < 8 || count["louda"] < 8 || count["loudb"] < 8 {
		t.Errorf("%d of 40 as meant, %v", right, count)
	}
	before := fmt.Sprint(s.Rows)
	add(40, true, true)
	s.suggest()
	if fmt.Sprint(s.Rows[:40]) != before {
		t.Error("a new take moved others")
	}
	if row := s.Rows[40]; row.SuggestedLayer != "loud" || row.SuggestedStrand != "b" {
		t.Errorf("the new take: %s %s", row.SuggestedLayer, row.SuggestedStrand)
	}
}

// Too few to compare: anywhere.
func TestSuggestionsForFew(t *testing.T) {
	s := named(map[string]int{"C4": 60, "D4": 62})
	s.suggest()
	for _, row := range s.Rows {
		if row.SuggestedLayer != Both || row.SuggestedStrand != Both {
			t.Errorf("%s: %s %s, want both", row.Path, row.SuggestedLayer, row.SuggestedStrand)
		}
	}
}

// A bell without a plain pitch is tuned by its leading tone where the builder gives the key of it, in any octave.
func TestHzByTheLeadingTone(t *testing.T) {
	row := NewRow("bell.wav")
	row.Pitch.Hz, row.Leading.Hz, row.Leading.Confidence = 801.3, 219.2, 0.8 // 6 cents under A3
	for key, want := range map[int]float64{-1: 801.3, 57: 219.2, 69: 438.4, 45: 109.6, 60: hzOf(60, 0)} {
		row.Key = key
		if got := row.Hz(); math.Abs(got-want) > 1e-9 {
			t.Errorf("with key %d it is tuned by %v Hz, want %v", key, got, want)
		}
	}
}
