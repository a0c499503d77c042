// Tuning: which pitch each key has.

package mapping

import (
	"fmt"
	"math"

	"lapstrake/mapping/placed"
	"lapstrake/mapping/plural"
)

// Tuning gives the keys pitches other than those of ISO 16. It says so in one of three ways: a scale that repeats,
// cents for each key, or a frequency for each key. Without any, it moves the equal semitones to another reference.
type Tuning struct {
	Title        string    `toml:"title,omitempty"`
	ScaleCents   []float64 `toml:"scale_cents,omitempty" comment:"cents of the scale's notes above its first, from the second on; the last is the interval at which it repeats"`
	ScaleKey     int       `toml:"scale_key" comment:"a key that is the scale's first note"`
	ReferenceKey int       `toml:"reference_key" comment:"the key that has the frequency of reference_hz"`
	ReferenceHz  float64   `toml:"reference_hz"`
	KeyCents     []float64 `toml:"key_cents,omitempty" comment:"instead of a scale: cents of each of the 128 keys above its equal semitone (ISO 16)"`
	KeyHz        []float64 `toml:"key_hz,omitempty" comment:"instead of a scale: the frequency of each of the 128 keys in Hz"`
	ZonesBy      ZonesBy   `toml:"zones_by" comment:"key: a key sounds the zones that hold it; pitch: those that hold the key nearest to its pitch"`
}

// ZonesBy says how a key finds its zones.
type ZonesBy string

// The two ways: by the number of the key, or by the nearest equal semitone to its pitch, so that a wide or narrow
// scale still draws on beds near its pitches.
const (
	ZonesByKey   ZonesBy = "key"
	ZonesByPitch ZonesBy = "pitch"
)

// The reference of ISO 16.
const (
	referenceKey = 69
	referenceHz  = 440.0
)

// DefaultTuning is that of ISO 16: equal semitones, key 69 at 440 Hz.
func DefaultTuning() Tuning {
	return Tuning{ScaleKey: MiddleCKey, ReferenceKey: referenceKey, ReferenceHz: referenceHz, ZonesBy: ZonesByKey}
}

// IsEqual says whether every key has the pitch and the zones that it has without a tuning, also once it is retuned.
func (t *Tuning) IsEqual() bool {
	return t.ZonesBy != ZonesByPitch && len(t.ScaleCents) == 0 && len(t.KeyCents) == 0 && len(t.KeyHz) == 0 &&
		t.ReferencePitch() == float64(t.ReferenceKey)
}

// ReferencePitch is that of the reference's frequency, in semitones of ISO 16: 69 is 440 Hz.
func (t *Tuning) ReferencePitch() float64 { return pitchOf(t.ReferenceHz) }

func pitchOf(hz float64) float64 { return referenceKey + 12*math.Log2(hz/referenceHz) }

// Pitch is that of a key, 0 to 127, in semitones of ISO 16, of which 69 is 440 Hz.
func (t *Tuning) Pitch(key int) float64 {
	switch {
	case len(t.KeyHz) > 0:
		return pitchOf(t.KeyHz[key])
	case len(t.KeyCents) > 0:
		return float64(key) + t.KeyCents[key]/100
	case len(t.ScaleCents) > 0:
		return t.ReferencePitch() + (t.scaleCents(key)-t.scaleCents(t.ReferenceKey))/100
	}
	return t.ReferencePitch() + float64(key-t.ReferenceKey)
}

// scaleCents is how far a key lies above the scale's first note.
func (t *Tuning) scaleCents(key int) float64 {
	notes := len(t.ScaleCents)
	above := key - t.ScaleKey
	note := ((above % notes) + notes) % notes
	cents := float64((above-note)/notes) * t.ScaleCents[notes-1]
	if note > 0 {
		cents += t.ScaleCents[note-1]
	}
	return cents
}

// Limits of tunings. A scale of more notes than there are keys would leave some of them out.
const (
	mostScaleCents         = 12000.0
	lowestTuned, mostTuned = 1.0, 30000.0 // Hz
)

// Check returns every problem of the tuning.
func (t *Tuning) Check() (problems []placed.Problem) {
	add := func(field, format string, args ...any) {
		problems = append(problems, placed.Problem{Field: field, Text: fmt.Sprintf(format, args...)})
	}
	given := 0
	for _, list := range [][]float64{t.ScaleCents, t.KeyCents, t.KeyHz} {
		if len(list) > 0 {
			given++
		}
	}
	if given > 1 {
		add("scale_cents", "found beside key_cents or key_hz, or those together: expected one of the three")
	}
	if len(t.ScaleCents) > HighestKey+1 {
		add("scale_cents", "%d notes: expected 128 at most, one for each key", len(t.ScaleCents))
	}
	within := func(field string, values []float64, low, high float64, unit string) {
		for i, value := range values {
			if !(value >= low && value <= high) {
				add(fmt.Sprintf("%s[%d]", field, i), "%v: expected %v to %v %s", value, low, high, unit)
			}
		}
	}
	within("scale_cents", t.ScaleCents, -mostScaleCents, mostScaleCents, "cents")
	if n := len(t.ScaleCents); n > 0 && !(t.ScaleCents[n-1] > 0) {
		add(fmt.Sprintf("scale_cents[%d]", n-1), "%v: the scale repeats at it; expected more than 0 cents",
			t.ScaleCents[n-1])
	}
	within("key_cents", t.KeyCents, -mostScaleCents, mostScaleCents, "cents")
	within("key_hz", t.KeyHz, lowestTuned, mostTuned, "Hz")
	each := func(field string, values []float64) {
		if n := len(values); n != 0 && n != HighestKey+1 {
			add(field, "%d numbers: expected 128, one for each key from 0 to 127", n)
		}
	}
	each("key_cents", t.KeyCents)
	each("key_hz", t.KeyHz)
	isKey := func(field string, key int) {
		if key < LowestKey || key > HighestKey {
			add(field, "%d: expected a MIDI key, 0 to 127", key)
		}
	}
	isKey("scale_key", t.ScaleKey)
	isKey("reference_key", t.ReferenceKey)
	if !(t.ReferenceHz >= lowestTuned && t.ReferenceHz <= mostTuned) {
		add("reference_hz", "%v: expected %v to %v Hz", t.ReferenceHz, lowestTuned, mostTuned)
	}
	if t.ZonesBy != ZonesByKey && t.ZonesBy != ZonesByPitch {
		add("zones_by", "%q: expected key or pitch", t.ZonesBy)
	}
	return problems
}

// Text says in a line how keys are tuned.
func (t *Tuning) Text(naming Naming) string {
	text, byKey := "", len(t.KeyCents) > 0 || len(t.KeyHz) > 0
	switch {
	case len(t.ScaleCents) > 0:
		text = fmt.Sprintf("a scale of %s that repeats after %.6g cents, from %s (key %d) on",
			plural.Of(len(t.ScaleCents), "note"), t.ScaleCents[len(t.ScaleCents)-1],
			naming.Name(t.ScaleKey), t.ScaleKey)
	case byKey:
		text = "each key by itself"
	default:
		text = "equal semitones"
	}
	if t.Title != "" {
		text = t.Title + ", " + text
	}
	if !byKey {
		text += fmt.Sprintf("; %s (key %d) is %.6g Hz", naming.Name(t.ReferenceKey), t.ReferenceKey, t.ReferenceHz)
	}
	return text
}

// Pitch is that of a key, 0 to 127, in semitones of ISO 16: 69 is 440 Hz.
func (m *Map) Pitch(key int) float64 {
	if m.Tuning == nil {
		return float64(key)
	}
	return m.Tuning.Pitch(key)
}

// place is where a key stands among the zones: at its own number or, where zones go by pitch, at its pitch, held
// within the keyboard.
func (m *Map) place(key int) float64 {
	if !m.zonesByPitch() {
		return float64(key)
	}
	return min(max(m.Tuning.Pitch(key), LowestKey), HighestKey)
}

// zonesByPitch says whether keys find their zones by their pitch.
func (m *Map) zonesByPitch() bool { return m.Tuning != nil && m.Tuning.ZonesBy == ZonesByPitch }

// KeysOf lists the keys that sound a zone, given by its index, as runs from low to high; none where it is silent.
func (m *Map) KeysOf(zone int) (runs []KeyRange) {
	if m.Zones[zone].Silent {
		return nil
	}
	for key := LowestKey; key <= HighestKey; key++ {
		if !m.Zones[zone].Holds(int(math.Round(m.place(key)))) {
			continue
		}
		if last := len(runs) - 1; last >= 0 && runs[last].High == key-1 {
			runs[last].High = key
		} else {
			runs = append(runs, KeyRange{key, key})
		}
	}
	return runs
}
