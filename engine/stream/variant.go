// Variants of open cycles: the same beds under a map that differs a little, or with other beds in the places of some.

package stream

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"lapstrake/mapping"
)

// Under is the same cycles under another map. It may differ from the own one in the starts, levels, tuning and silence
// of its zones alone. Heads of new starts are read. Each of both is closed for itself.
func (c *Cycles) Under(m *mapping.Map) (*Cycles, error) { return c.variant(m, c.cycles) }

// Instead is cycles with other beds in the places of some of the map's, by their paths; of none it is those of the
// beds' files. A bed has to last as long as the one in whose place it is. Each of both is closed for itself.
func (c *Cycles) Instead(beds map[string]Bed) (*Cycles, error) {
	cycles := slices.Clone(c.plain)
	for zone := range c.Map.Zones {
		for layer, name := range c.Map.Layers {
			paths := c.Map.Zones[zone].Beds[name]
			if !slices.ContainsFunc(paths, func(path string) bool { return beds[path] != nil }) {
				continue
			}
			at := zone*len(c.Map.Layers) + layer
			cycle, err := c.plain[at].instead(paths, beds)
			if err != nil {
				return nil, err
			}
			cycles[at] = cycle
		}
	}
	return c.variant(c.Map, cycles)
}

// instead is the cycle with other beds, by the paths of its own.
func (c *Cycle) instead(paths []string, beds map[string]Bed) (*Cycle, error) {
	all := slices.Clone(c.beds)
	for i, path := range paths {
		other := beds[path]
		if other == nil {
			continue
		}
		if other.RateHz() != c.RateHz || other.Frames() < c.used[i] {
			return nil, fmt.Errorf("%s: %d frames at %d Hz in its place: expected %d at %d Hz", path, other.Frames(),
				other.RateHz(), c.used[i], c.RateHz)
		}
		all[i] = other
	}
	joined := *c
	joined.beds, joined.joins = all, make([]join, len(all))
	return &joined, nil
}

func (c *Cycles) variant(m *mapping.Map, cycles []*Cycle) (*Cycles, error) {
	if c.closers == nil {
		return nil, errors.New("the beds are closed")
	}
	v := &Cycles{Map: m, dir: c.dir, cycles: cycles, plain: c.plain, headAt: map[headKey]int{},
		files: maps.Clone(c.files)}
	v.placeHeads()
	for key, at := range v.headAt {
		if old, found := c.headAt[key]; found {
			v.heads[at] = c.heads[old]
			continue
		}
		head := &v.heads[at]
		head.data = make([]float32, len(c.heads[0].data))
		if err := head.cycle.ReadFrames(head.data, head.startFrame-headBefore); err != nil {
			return nil, err
		}
	}
	v.closers = c.closers
	v.closers.users++
	return v, nil
}
