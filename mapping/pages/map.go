// What a page is told of the map that is played.

package pages

import (
	"lapstrake/mapping"
)

// Map is a map as pages draw it.
type Map struct {
	Title         string   `json:"title"`
	Number        int      `json:"number"` // as SoundingCycle.MapNumber, modulo 2¹⁶
	MiddleC       string   `json:"middleC"`
	KeyNames      []string `json:"keyNames"` // of all 128
	Layers        []string `json:"layers"`
	Strands       []string `json:"strands"` // their titles
	Ranks         []string `json:"ranks"`
	BendSemitones float64  `json:"bendSemitones"`
	Polyphony     int      `json:"polyphony"`
	Dynamics      Dynamics `json:"dynamics"`
	Volume        []int    `json:"volume"` // controllers
	Zones         []Zone   `json:"zones"`
}

// Dynamics is the crossfade between the layers: for each value of the controller, from 0 to 127, their gains.
type Dynamics struct {
	Controller int         `json:"controller"`
	Law        string      `json:"law"`
	Gains      [][]float64 `json:"gains"` // by layer
}

// Zone is a zone of the map, and how loud it is on its keys.
type Zone struct {
	Rank   string    `json:"rank"`
	Root   int       `json:"root"`
	Low    int       `json:"low"`
	High   int       `json:"high"`
	Start  float64   `json:"start"`
	Level  float64   `json:"level"`  // dB that it is nudged by
	Cents  float64   `json:"cents"`  // the same of its tuning
	Silent bool      `json:"silent"` // turns unheard
	Gains  []float64 `json:"gains"`  // at each key from Low to High
	Cycles []Cycle   `json:"cycles"` // by layer
}

// Cycle is a cycle: its beds, each from where it begins to be heard to where it ends, in turns from frame 0. A bed
// overlaps the next; the first begins below 0.
type Cycle struct {
	Sec  float64 `json:"sec"` // of a turn at the root
	Beds []Bed   `json:"beds"`
}

// Bed is a bed of a cycle, from where to where it is heard.
type Bed struct {
	Path string  `json:"path"`
	From float64 `json:"from"`
	To   float64 `json:"to"`
}

// Turn is one turn of a cycle, as it is played.
type Turn struct {
	mapping.CycleLength
	Begins []int64 // frame at which each bed begins to sound alone
}

// Describe tells of a map, whose turns are those of the cycle of each zone and layer, by their indices.
func Describe(title string, number int, m *mapping.Map, turns func(zone, layer int) Turn) Map {
	told := Map{Title: title, Number: number & 0xFFFF, MiddleC: string(m.MiddleC), Layers: m.Layers, Ranks: m.Ranks(),
		BendSemitones: m.BendSemitones, Polyphony: m.Polyphony, Volume: m.Volume.Controllers,
		Dynamics: Dynamics{m.Dynamics.Controller, string(m.Dynamics.Law), layerGains(m)}}
	for key := range mapping.HighestKey + 1 {
		told.KeyNames = append(told.KeyNames, m.MiddleC.Name(key))
	}
	for strand := range m.Strands {
		told.Strands = append(told.Strands, m.StrandTitle(strand))
	}
	for z := range m.Zones {
		zone := &m.Zones[z]
		one := Zone{Rank: zone.Rank, Root: zone.Root, Low: zone.Low, High: zone.High, Start: zone.Start,
			Level: zone.LevelDB, Cents: zone.TuneCents, Silent: zone.Silent}
		for key := zone.Low; key <= zone.High; key++ {
			one.Gains = append(one.Gains, m.ZoneGain(zone, key))
		}
		for layer, name := range m.Layers {
			one.Cycles = append(one.Cycles, describeCycle(turns(z, layer), zone.Beds[name], m.OverlapSec))
		}
		told.Zones = append(told.Zones, one)
	}
	return told
}

// describeCycle: a bed is heard from the overlap before it sounds alone until the next one does.
func describeCycle(turn Turn, paths []string, overlapSec float64) Cycle {
	frames := float64(turn.Frames)
	told := Cycle{Sec: frames / float64(turn.RateHz)}
	overlap := overlapSec * float64(turn.RateHz)
	for i, begins := range turn.Begins {
		ends := turn.Begins[0] + turn.Frames
		if i+1 < len(turn.Begins) {
			ends = turn.Begins[i+1]
		}
		told.Beds = append(told.Beds, Bed{paths[i], (float64(begins) - overlap) / frames, float64(ends) / frames})
	}
	return told
}

func layerGains(m *mapping.Map) [][]float64 {
	const values = 128
	gains := make([][]float64, len(m.Layers))
	now := make([]float64, len(m.Layers))
	for value := range values {
		m.LayerGains(float64(value)/(values-1), now)
		for layer := range gains {
			gains[layer] = append(gains[layer], now[layer])
		}
	}
	return gains
}
