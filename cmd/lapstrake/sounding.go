// What sounds, as the screen shows it: the held keys with their courses, and when the chord comes back.

package main

import (
	"fmt"
	"slices"

	"lapstrake/engine"
	"lapstrake/engine/audible"
	"lapstrake/engine/stream"
	"lapstrake/mapping"
)

// soundingView keeps what does not change from one status to the next.
type soundingView struct {
	number  int // of the map
	cycles  *stream.Cycles
	letters string
	begins  [][]float64 // of each zone and layer, zone-major
	back    chordReturn
}

// take looks at the map that plays.
func (v *soundingView) take(number int, cycles *stream.Cycles) {
	if v.cycles != nil && v.number == number {
		return
	}
	m := cycles.Map
	v.number, v.cycles, v.letters, v.begins = number, cycles, strandLetters(m.Strands), nil
	for zone := range m.Zones {
		for layer := range m.Layers {
			cycle := cycles.Cycle(zone, layer)
			var begins []float64
			for _, stretch := range cycle.Stretches() {
				begins = append(begins, float64(max(stretch.From, 0))/float64(cycle.Frames))
			}
			v.begins = append(v.begins, begins)
		}
	}
}

// keys are those that something holds, upwards, with who stands out on each.
func (v *soundingView) keys(s *engine.Snapshot, who []audible.Take) (keys []heldKey) {
	m := v.cycles.Map
	loudest := map[[2]int]float32{} // of the layers of a key's zone
	for i := range s.Cycles {
		c := &s.Cycles[i]
		if c.State > engine.NotePedal {
			continue
		}
		at := slices.IndexFunc(keys, func(k heldKey) bool { return k.key == c.Key })
		if at < 0 {
			keys = append(keys, heldKey{key: c.Key, name: m.MiddleC.Name(c.Key)})
			at = len(keys) - 1
		}
		k := &keys[at]
		for _, t := range who {
			if name := t.Who(); t.Cycle == i && !slices.Contains(k.who, name) {
				k.who = append(k.who, name)
			}
		}
		if c.MapNumber != v.number {
			continue
		}
		zone := [2]int{c.Key, c.Zone}
		if before, seen := loudest[zone]; !seen || c.Gain > before {
			k.put(v.course(c), !seen)
			loudest[zone] = c.Gain
		}
	}
	slices.SortFunc(keys, func(a, b heldKey) int { return a.key - b.key })
	return keys
}

// names are the held keys alone.
func (v *soundingView) names(s *engine.Snapshot) (keys []heldKey) {
	held := s.Held()
	for key := range mapping.HighestKey + 1 {
		if held[key/64]>>(key%64)&1 != 0 {
			keys = append(keys, heldKey{key: key, name: v.cycles.Map.MiddleC.Name(key)})
		}
	}
	return keys
}

// put adds a course, or has it take the place of the last one, which is of a softer layer.
func (k *heldKey) put(c course, adds bool) {
	if !adds && len(k.courses) > 0 {
		k.courses = k.courses[:len(k.courses)-1]
	}
	k.courses = append(k.courses, c)
}

func (v *soundingView) course(c *engine.SoundingCycle) course {
	m := v.cycles.Map
	bed, next, over := v.cycles.Cycle(c.Zone, c.Layer).BedsAt(c.AtFrame)
	if over > 0.5 {
		bed = next
	}
	return course{
		root: m.MiddleC.Name(m.Zones[c.Zone].Root), letters: v.letters, begins: v.begins[c.Zone*len(m.Layers)+c.Layer],
		at: float64(c.AtFrame) / float64(c.CycleFrames), bed: bed, silent: c.Gain == 0 && c.Level > 0,
	}
}

// chordReturn finds when all cycles that sound are again where they stood when the last of them began.
type chordReturn struct {
	lengthsSec []float64 // different ones only, upwards
	beganFrame int64
	found      bool
	next       mapping.Return
}

const (
	returnTurns    = 0.02
	returnSoughtIn = 24 * 3600 // s
)

// text counts down to the chord's return at a frame.
func (r *chordReturn) text(s *engine.Snapshot, rateHz int) string {
	var lengthsSec []float64
	began := int64(0)
	for i := range s.Cycles {
		c := &s.Cycles[i]
		if c.State <= engine.NotePedal {
			lengthsSec = append(lengthsSec, mapping.CycleLength{Frames: c.CycleFrames}.TurnSeconds(c.Step, rateHz))
			began = max(began, c.BeganFrame)
		}
	}
	slices.Sort(lengthsSec)
	lengthsSec = slices.Compact(lengthsSec)
	if len(lengthsSec) == 0 {
		*r = chordReturn{}
		return ""
	}
	nowSec := float64(s.Frame-began) / float64(rateHz)
	if !slices.Equal(lengthsSec, r.lengthsSec) || began != r.beganFrame || r.found && nowSec > r.next.ToSec {
		r.lengthsSec, r.beganFrame, r.found = lengthsSec, began, false
		for next := range mapping.Returns(lengthsSec, returnTurns, nowSec+returnSoughtIn) {
			if next.ToSec >= nowSec {
				r.found, r.next = true, next
				break
			}
		}
	}
	switch {
	case !r.found:
		return "not in 24 h: all cycles within 2 % of a turn of where they began"
	case nowSec >= r.next.FromSec:
		return "now: all cycles are within 2 % of a turn of where they began"
	}
	return fmt.Sprintf("in %8s: all cycles within 2 %% of a turn of where they began", clock(r.next.FromSec-nowSec))
}
