// instrument: a map with its beds open, ready for notes.

package engine

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"sync/atomic"

	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/voices"
)

// instrument is what notes are played on. A note keeps the instrument it began
// on; a reloaded map makes another one.
type instrument struct {
	cycles *stream.Cycles
	loaded *mapping.Map // as it was loaded: cycles.Map may be nudged
	// number is one for all variants of a loaded map: their zones are the same. 0 is the first. variant tells them
	// apart, sound is the variant that first had the same cycles.
	number, variant, sound int
	// what is tried on the map: zones nudged, and paths of beds that have others in their places
	tried   map[mapping.ZoneName]mapping.Nudge
	instead []string
	kept    bool // loaded stands in the file since it was written there
	mixer   *voices.Mixer
	byKey   [mapping.HighestKey + 1][]placed
	// byPitch is the same for an equal semitone instead of a key; nil unless zones go by pitch.
	byPitch [mapping.HighestKey + 1][]placed
	rankOf  []int // of each zone, the index of its rank

	gains0, gains1 []float64   // of each layer at the ends of a stretch; audio thread
	notes          int         // sounding on it; audio thread
	sounding       atomic.Bool // the audio thread holds on to it

	loudnessLUFS float64       // of the chord by which two sides are matched
	trim         atomic.Uint32 // gain that makes it as loud as the other side, as bits of a float32
	draws        atomic.Bool   // held notes move on to it, whatever Follow says
}

// placed is one cycle that a key sounds.
type placed struct {
	zone, layer int
	base        uint64  // step without bend
	gain        float64 // of the zone at the key
	plain       float64 // the same without its nudge
}

// openInstrument opens the map at path and its beds, to be played at rateHz, or at the map's own rate where that is 0.
// What is tried on from, which may be nil, is tried on it too.
func openInstrument(path string, rateHz int, s Settings, from *instrument) (*instrument, error) {
	m, err := mapping.Load(path)
	if err != nil {
		return nil, err
	}
	if rateHz != 0 {
		m.RateHz = rateHz
	}
	nudged, tried := m, from.triedOn(m)
	if len(tried) > 0 {
		if nudged, err = m.Nudged(tried); err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
	}
	in, err := openMap(nudged, filepath.Dir(path), s)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	in.loaded, in.tried = m, tried
	return in, nil
}

// openMap opens the beds of a map in the folder dir.
func openMap(m *mapping.Map, dir string, s Settings) (*instrument, error) {
	opened, err := stream.Open(m, dir, forHeads(s.MemoryBytes))
	if err != nil {
		return nil, err
	}
	in, err := newInstrument(opened, s)
	if err != nil {
		opened.Close()
	}
	return in, err
}

func newInstrument(cycles *stream.Cycles, s Settings) (*instrument, error) {
	m := cycles.Map
	in := &instrument{cycles: cycles, loaded: m}
	in.trim.Store(math.Float32bits(1))
	ranks := m.Ranks()
	for i := range m.Zones {
		in.rankOf = append(in.rankOf, slices.Index(ranks, m.Zones[i].Rank))
	}
	largest := in.placeKeys()
	mixer, err := voices.NewMixer(s.Quality, s.Arithmetic, max(largest, 1))
	if err != nil {
		return nil, fmt.Errorf("the beds' rates, the zones' shifts and the bend ask for up to %.1f bed frames a "+
			"frame: %w", largest, err)
	}
	in.mixer = mixer
	for key, places := range in.byKey {
		if len(places) > m.Polyphony {
			return nil, fmt.Errorf("polyphony %d: key %d sounds %d cycles; expected at least as many", m.Polyphony,
				key, len(places))
		}
	}
	in.gains0, in.gains1 = make([]float64, len(m.Layers)), make([]float64, len(m.Layers))
	return in, nil
}

// placeKeys lists for each key the cycles it sounds and returns the largest
// ratio at which any is played, a full bend included.
func (in *instrument) placeKeys() (largest float64) {
	m := in.cycles.Map
	place := func(m *mapping.Map, key int) (places []placed) {
		for _, zone := range m.ZonesUnder(key) { // a silent one turns on unheard, and may be heard again
			gain := m.ZoneGain(&m.Zones[zone], key)
			bare := m.Zones[zone]
			bare.LevelDB, bare.Silent = 0, false
			plain := m.ZoneGain(&bare, key)
			for layer := range m.Layers {
				cycle := in.cycles.Cycle(zone, layer)
				base := cycle.Step(m.ShiftSemitones(&m.Zones[zone], key), m.RateHz)
				places = append(places, placed{zone, layer, base, gain, plain})
				largest = max(largest, float64(base)/mapping.OneFrame*math.Exp2(m.BendSemitones/12))
			}
		}
		return places
	}
	equal := *m
	equal.Tuning = nil
	for key := range in.byKey {
		in.byKey[key] = place(m, key)
		if m.Tuning != nil && m.Tuning.ZonesBy == mapping.ZonesByPitch {
			in.byPitch[key] = place(&equal, key)
		}
	}
	return largest
}

// most returns how many cycles a key sounds at most.
func (in *instrument) most() int {
	most := 0
	for _, places := range in.byKey {
		most = max(most, len(places))
	}
	return most
}
