// Keeping a mark: the state at the moment, the beds and their hashes, the row in the sheet.

package mark

import (
	"errors"
	"math"
	"path/filepath"
	"slices"
	"time"

	"lapstrake/engine"
	"lapstrake/engine/audible"
	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
)

// Player is what a mark has to know of the player.
type Player struct {
	Dir      string // of the project
	Engine   *engine.Engine
	Teller   *audible.Teller
	Settings engine.Settings
}

var errOther = errors.New("marks are kept of the map that play was told first; e exchanges the two")

var errReplaced = errors.New("marks are kept of whole beds: let all takes of them sound first")

// Take notes all of the present moment that does not last: it returns at once. Keep makes the rest of it.
func (t *Trail) Take(p Player) (*Mark, error) {
	if p.Engine.Side() > 0 {
		return nil, errOther
	}
	if len(p.Engine.Replaced()) > 0 {
		return nil, errReplaced
	}
	s := p.Settings
	m := &Mark{Version: version, When: time.Now().Round(0), Quality: s.Quality.String(),
		Channel: s.Channel, Apart: s.Apart}
	variant := p.Engine.Variant()
	number, cycles := p.Engine.Latest()
	sounding, err := t.now(m, variant)
	if err != nil {
		return nil, err
	}
	text, err := cycles.Map.Encode()
	if err != nil {
		return nil, err
	}
	m.Map = string(text)
	for _, take := range p.Teller.Now(sounding.Cycles) {
		m.Audible = append(m.Audible, Take{take.Name, take.Contributor, take.Sones})
	}
	for i := range sounding.Cycles {
		if c := &sounding.Cycles[i]; c.MapNumber == number {
			cycle := cycles.Cycle(c.Zone, c.Layer)
			m.Sounding = append(m.Sounding, place(cycles.Map, c, cycle))
		}
	}
	m.listBeds(cycles.Map, cycles.ChangedBeds())
	return m, nil
}

// place tells in a person's terms where a cycle stands.
func place(m *mapping.Map, c *engine.SoundingCycle, cycle *stream.Cycle) Place {
	zone, layer := &m.Zones[c.Zone], m.Layers[c.Layer]
	stretches := cycle.Stretches()
	bed := slices.IndexFunc(stretches, func(s stream.Alone) bool { return s.From <= c.AtFrame && c.AtFrame < s.To })
	bed = max(bed, 0) // behind the last one, the first has taken over
	rateHz := cycle.RateHz
	return Place{
		Key: c.Key, Rank: zone.Rank, Root: zone.Root, Layer: layer, Strand: m.Strands[bed], Bed: zone.Beds[layer][bed],
		AtSec: float64(c.AtFrame) / float64(rateHz), CycleSec: float64(c.CycleFrames) / float64(rateHz),
		GainDB: max(sound.AmplitudeDB(math.Abs(float64(c.Gain))), -200),
	}
}

// zonesPlayed are the zones of all that sounds or is struck from the beginning on: all zones, where keys may have been
// moved to others.
func (m *Mark) zonesPlayed(played *mapping.Map) map[int]bool {
	zones := map[int]bool{}
	moved := len(m.Begin.Retuned.Keys)+len(m.Begin.Retuned.Octave) > 0
	for i := range m.Begin.Channels {
		moved = moved || m.Begin.Channels[i].Coarse != 0
	}
	for _, p := range m.Begin.Parts {
		zones[p.Zone] = true
	}
	for _, e := range m.Events {
		switch kind := e.Message[0] & 0xF0; {
		case e.played().IsTurn():
		case kind == engine.KindTuneKey, kind == engine.KindControl && e.Message[1] == dataEntry:
			moved = true
		case kind == engine.KindNoteOn:
			for _, zone := range played.ZonesAt(int(e.Message[1])) {
				zones[zone] = true
			}
		}
	}
	for zone := range played.Zones {
		zones[zone] = zones[zone] || moved
	}
	return zones
}

// dataEntry is the controller that sets registered parameters, tunings among them (MIDI 1.0, table III).
const dataEntry = 6

// listBeds lists the beds of all that sounds from the beginning on. Of those that changed, nobody knows what they
// were.
func (m *Mark) listBeds(played *mapping.Map, changed []string) {
	zones := m.zonesPlayed(played)
	listed := map[string]bool{}
	for i := range played.Zones {
		for _, layer := range played.Layers {
			for _, path := range played.Zones[i].Beds[layer] {
				if zones[i] && !listed[path] {
					listed[path] = true
					m.Beds = append(m.Beds, Bed{Path: path})
				}
			}
		}
	}
	for i := range m.Beds {
		if slices.Contains(changed, m.Beds[i].Path) {
			m.Beds[i].Hash = goneHash
		}
	}
}

// goneHash stands for a bed that another one had replaced before it could be read.
const goneHash = "replaced"

// Keep reads the beds, for half a second or so, and writes a mark that has its number into the project folder dir: its
// file first, then its row, for which about has the remark and the performance. No other row is touched.
func (m *Mark) Keep(dir string, about Row) (Row, error) {
	for i := range m.Beds {
		if b := &m.Beds[i]; b.Hash == "" {
			hash, err := decode.Hash(filepath.Join(dir, filepath.FromSlash(b.Path)))
			if err != nil {
				return about, err
			}
			b.Hash = hash
		}
	}
	row, err := about.told(m)
	if err != nil {
		return about, err
	}
	if err := m.write(dir); err != nil {
		return about, err
	}
	sheet, _, err := readSheet(dir)
	if err != nil {
		return about, err
	}
	sheet.Append(row.cells(sheet))
	return row, sheet.Save()
}
