// What a check asks to be played for a finding, where its place alone does not say it.

package check

import (
	"fmt"

	"lapstrake/engine/stream"
)

type toHear struct {
	name   string
	scenes []scene
}

// hearSweep plays a key while the dynamics rise and fall.
func (s *subject) hearSweep(key int) *toHear {
	return &toHear{s.name(key) + " while the dynamics rise and fall",
		[]scene{{keys: []int{key}, sweep: true, sec: 3 * sceneSec}}}
}

// hearStrikes strikes a key at two places of the dynamics.
func (s *subject) hearStrikes(key, soft, loud int) *toHear {
	at := func(dynamics int) scene { return scene{keys: []int{key}, dynamics: dynamics, sec: sceneSec} }
	return &toHear{fmt.Sprintf("%s at dynamics %d, then at %d", s.name(key), soft, loud), []scene{at(soft), at(loud)}}
}

// hearLater plays keys at one moment of a chord, and again so many seconds later.
func (s *subject) hearLater(keys []int, dynamics int, atSec, laterSec float64) *toHear {
	at := scene{keys: keys, dynamics: dynamics, fromSec: atSec, sec: sceneSec}
	later := at
	later.fromSec += laterSec
	name := fmt.Sprintf("%s from second %.0f on, then from second %.0f on", s.shortNames(keys), atSec, later.fromSec)
	if later.fromSec > latestSceneSec {
		return &toHear{s.shortNames(keys), []scene{{keys: keys, dynamics: dynamics, sec: 2 * sceneSec}}}
	}
	return &toHear{name, []scene{at, later}}
}

// hearMono plays a key in stereo, then in mono.
func (s *subject) hearMono(key int) *toHear {
	stereo := scene{keys: []int{key}, dynamics: s.m.Dynamics.Initial, sec: sceneSec}
	mono := stereo
	mono.mono = true
	return &toHear{s.name(key) + ", then the same in mono", []scene{stereo, mono}}
}

// hearFull plays keys at full dynamics.
func (s *subject) hearFull(name string, keys []int) *toHear {
	return &toHear{name + " at full dynamics", []scene{{keys: keys, dynamics: 127, sec: sceneSec}}}
}

// hearLayer plays the root of a zone and that of the zone beside it, where the dynamics leave one layer alone.
func (s *subject) hearLayer(zone, layer int) *toHear {
	beside := zone + 1
	if beside == len(s.m.Zones) || s.m.Zones[beside].Rank != s.m.Zones[zone].Rank {
		beside = max(zone-1, 0)
	}
	h := &toHear{name: fmt.Sprintf("%s, then %s", s.name(s.m.Zones[zone].Root), s.name(s.m.Zones[beside].Root))}
	for _, z := range []int{zone, beside} {
		h.scenes = append(h.scenes, scene{inCycle: true, zone: z, layer: layer, sec: sceneSec})
	}
	return h
}

// hearJoin plays a cycle around one of its joins.
func (s *subject) hearJoin(zone, layer int, c *stream.Cycle, middleFrame int64, name string) *toHear {
	const sec = 2 * sceneSec
	return &toHear{name, []scene{{inCycle: true, zone: zone, layer: layer, sec: sec,
		fromFrame: middleFrame - sec/2*int64(c.RateHz)}}}
}
