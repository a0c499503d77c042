// What a check asks to be played for a finding, where its place alone does not say it.

package check

import (
	"fmt"

	"lapstrake/engine/stream"
)

// hearSweep plays a key while the dynamics rise and fall.
func (s *subject) hearSweep(key int) *ToHear {
	return &ToHear{s.name(key) + " while the dynamics rise and fall",
		[]Scene{{Keys: []int{key}, Sweep: true, Sec: 3 * sceneSec}}}
}

// hearStrikes strikes a key at two places of the dynamics.
func (s *subject) hearStrikes(key, soft, loud int) *ToHear {
	at := func(dynamics int) Scene { return Scene{Keys: []int{key}, Dynamics: dynamics, Sec: sceneSec} }
	return &ToHear{fmt.Sprintf("%s at dynamics %d, then at %d", s.name(key), soft, loud), []Scene{at(soft), at(loud)}}
}

// hearLater plays keys at one moment of a chord, and again so many seconds later.
func (s *subject) hearLater(keys []int, dynamics int, atSec, laterSec float64) *ToHear {
	at := Scene{Keys: keys, Dynamics: dynamics, FromSec: atSec, Sec: sceneSec}
	later := at
	later.FromSec += laterSec
	name := fmt.Sprintf("%s from second %.0f on, then from second %.0f on", s.shortNames(keys), atSec, later.FromSec)
	if later.FromSec > latestSceneSec {
		return &ToHear{s.shortNames(keys), []Scene{{Keys: keys, Dynamics: dynamics, Sec: 2 * sceneSec}}}
	}
	return &ToHear{name, []Scene{at, later}}
}

// hearMono plays a key in stereo, then in mono.
func (s *subject) hearMono(key int) *ToHear {
	stereo := Scene{Keys: []int{key}, Dynamics: s.m.Dynamics.Initial, Sec: sceneSec}
	mono := stereo
	mono.Mono = true
	return &ToHear{s.name(key) + ", then the same in mono", []Scene{stereo, mono}}
}

// hearFull plays keys at full dynamics.
func (s *subject) hearFull(name string, keys []int) *ToHear {
	return &ToHear{name + " at full dynamics", []Scene{{Keys: keys, Dynamics: 127, Sec: sceneSec}}}
}

// hearLayer plays the root of a zone and that of the zone beside it, where the dynamics leave one layer alone.
func (s *subject) hearLayer(zone, layer int) *ToHear {
	beside := zone + 1
	if beside == len(s.m.Zones) || s.m.Zones[beside].Rank != s.m.Zones[zone].Rank {
		beside = max(zone-1, 0)
	}
	h := &ToHear{Name: fmt.Sprintf("%s, then %s", s.name(s.m.Zones[zone].Root), s.name(s.m.Zones[beside].Root))}
	for _, z := range []int{zone, beside} {
		h.Scenes = append(h.Scenes, Scene{InCycle: true, Zone: z, Layer: layer, Sec: sceneSec})
	}
	return h
}

// hearJoin plays a cycle around one of its joins.
func (s *subject) hearJoin(zone, layer int, c *stream.Cycle, middleFrame int64, name string) *ToHear {
	const sec = 2 * sceneSec
	return &ToHear{name, []Scene{{InCycle: true, Zone: zone, Layer: layer, Sec: sec,
		FromFrame: middleFrame - sec/2*int64(c.RateHz)}}}
}
