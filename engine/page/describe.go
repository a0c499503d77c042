// What the page is told of the map that is played.

package page

import (
	"lapstrake/engine/stream"
	"lapstrake/mapping"
)

// mapTold is a map as the page draws it.
type mapTold struct {
	Title         string       `json:"title"`
	Number        int          `json:"number"` // as SoundingCycle.MapNumber, modulo 2¹⁶
	MiddleC       string       `json:"middleC"`
	KeyNames      []string     `json:"keyNames"` // of all 128
	Layers        []string     `json:"layers"`
	Strands       []string     `json:"strands"` // their titles
	Ranks         []string     `json:"ranks"`
	BendSemitones float64      `json:"bendSemitones"`
	Polyphony     int          `json:"polyphony"`
	Dynamics      dynamicsTold `json:"dynamics"`
	Volume        []int        `json:"volume"` // controllers
	Zones         []zoneTold   `json:"zones"`
}

// dynamicsTold is the crossfade between the layers: for each value of the controller, from 0 to 127, their gains.
type dynamicsTold struct {
	Controller int         `json:"controller"`
	Law        string      `json:"law"`
	Gains      [][]float64 `json:"gains"` // by layer
}

type zoneTold struct {
	Rank   string      `json:"rank"`
	Root   int         `json:"root"`
	Low    int         `json:"low"`
	High   int         `json:"high"`
	Start  float64     `json:"start"`
	Level  float64     `json:"level"`  // dB that it is nudged by
	Cents  float64     `json:"cents"`  // the same of its tuning
	Silent bool        `json:"silent"` // turns unheard
	Gains  []float64   `json:"gains"`  // at each key from Low to High
	Cycles []cycleTold `json:"cycles"` // by layer
}

// cycleTold is a cycle: its beds, each from where it begins to be heard to where it ends, in turns from frame 0. A bed
// overlaps the next; the first begins below 0.
type cycleTold struct {
	Sec  float64   `json:"sec"` // of a turn at the root
	Beds []bedTold `json:"beds"`
}

type bedTold struct {
	Path string  `json:"path"`
	From float64 `json:"from"`
	To   float64 `json:"to"`
}

func describe(title string, number int, cycles *stream.Cycles) mapTold {
	m := cycles.Map
	told := mapTold{Title: title, Number: number & 0xFFFF, MiddleC: string(m.MiddleC), Layers: m.Layers, Ranks: m.Ranks(),
		BendSemitones: m.BendSemitones, Polyphony: m.Polyphony, Volume: m.Volume.Controllers,
		Dynamics: dynamicsTold{m.Dynamics.Controller, string(m.Dynamics.Law), layerGains(m)}}
	for key := range mapping.HighestKey + 1 {
		told.KeyNames = append(told.KeyNames, m.MiddleC.Name(key))
	}
	for strand := range m.Strands {
		told.Strands = append(told.Strands, m.StrandTitle(strand))
	}
	for z := range m.Zones {
		zone := &m.Zones[z]
		one := zoneTold{Rank: zone.Rank, Root: zone.Root, Low: zone.Low, High: zone.High, Start: zone.Start,
			Level: zone.LevelDB, Cents: zone.TuneCents, Silent: zone.Silent}
		for key := zone.Low; key <= zone.High; key++ {
			one.Gains = append(one.Gains, m.ZoneGain(zone, key))
		}
		for layer, name := range m.Layers {
			one.Cycles = append(one.Cycles, describeCycle(cycles.Cycle(z, layer), zone.Beds[name], m.OverlapSec))
		}
		told.Zones = append(told.Zones, one)
	}
	return told
}

func describeCycle(c *stream.Cycle, paths []string, overlapSec float64) cycleTold {
	frames := float64(c.Frames)
	told := cycleTold{Sec: frames / float64(c.RateHz)}
	halfOverlap := overlapSec * float64(c.RateHz) / 2
	for i, s := range c.Stretches() {
		from, to := (float64(s.From)-halfOverlap)/frames, (float64(s.To)+halfOverlap)/frames
		told.Beds = append(told.Beds, bedTold{paths[i], from, to})
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
