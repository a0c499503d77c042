// What differs between two maps, in words.

package mapping

import (
	"fmt"
	"reflect"
	"strings"

	"lapstrake/mapping/plural"
)

// differing is one thing that maps are compared by. Of a number, unit follows both values.
type differing struct {
	name, unit string
	of         func(*Map) any
}

var differings = []differing{
	{"rate", " Hz", func(m *Map) any { return m.RateHz }},
	{"layers", "", func(m *Map) any { return strings.Join(m.Layers, ", ") }},
	{"strands", "", func(m *Map) any { return strings.Join(m.Strands, ", ") }},
	{"used of each bed", " s", func(m *Map) any { return m.BedSec }},
	{"overlap", " s", func(m *Map) any { return m.OverlapSec }},
	{"attack", " s", func(m *Map) any { return m.AttackSec }},
	{"release", " s", func(m *Map) any { return m.ReleaseSec }},
	{"velocity amount", "", func(m *Map) any { return m.VelocityAmount }},
	{"bend range", " semitones", func(m *Map) any { return m.BendSemitones }},
	{"polyphony", "", func(m *Map) any { return m.Polyphony }},
	{"headroom", " dB", func(m *Map) any { return m.HeadroomDB }},
	{"seam fade", " dB", func(m *Map) any { return m.SeamFadeDB }},
	{"dynamics controller", "", func(m *Map) any { return m.Dynamics.Controller }},
	{"dynamics law", "", func(m *Map) any { return m.Dynamics.Law }},
	{"dynamics range", " LU", func(m *Map) any { return m.Dynamics.RangeLU }},
	{"dynamics smoothing", " s", func(m *Map) any { return m.Dynamics.SmoothingSec }},
	{"dynamics at the start", "", func(m *Map) any { return m.Dynamics.Initial }},
	{"volume controllers", "", func(m *Map) any { return fmt.Sprint(m.Volume.Controllers) }},
}

// Differences tells in words what differs from one map to the next, such as "headroom 12 → 18 dB"; nothing where they
// play alike.
func Differences(before, now *Map) (all []string) {
	for _, d := range differings {
		if was, is := d.of(before), d.of(now); was != is {
			all = append(all, fmt.Sprintf("%s %v → %v%s", d.name, was, is, d.unit))
		}
	}
	if !reflect.DeepEqual(before.Stagger, now.Stagger) {
		all = append(all, "stagger")
	}
	if !reflect.DeepEqual(before.Tuning, now.Tuning) {
		all = append(all, "tuning")
	}
	return append(all, zoneDifferences(before, now)...)
}

// zoneDifferences compares zones by their rank and root.
func zoneDifferences(before, now *Map) (all []string) {
	was := map[ZoneName]*Zone{}
	for i := range before.Zones {
		z := &before.Zones[i]
		was[z.Name()] = z
	}
	var added, ranges, starts, levels, tunings, silences, beds int
	for i := range now.Zones {
		z := &now.Zones[i]
		old, found := was[z.Name()]
		if !found {
			added++
			continue
		}
		delete(was, z.Name())
		if old.Low != z.Low || old.High != z.High {
			ranges++
		}
		if old.Start != z.Start {
			starts++
		}
		if old.LevelDB != z.LevelDB {
			levels++
		}
		if old.TuneCents != z.TuneCents {
			tunings++
		}
		if old.Silent != z.Silent {
			silences++
		}
		if !reflect.DeepEqual(old.Beds, z.Beds) {
			beds++
		}
	}
	for _, d := range []struct {
		count int
		text  string
	}{{added, "%s new"}, {len(was), "%s gone"}, {ranges, "keys of %s"}, {starts, "starts of %s"},
		{levels, "levels of %s"}, {tunings, "tuning of %s"}, {silences, "silence of %s"}, {beds, "beds of %s"}} {
		if d.count > 0 {
			all = append(all, fmt.Sprintf(d.text, plural.Of(d.count, "zone")))
		}
	}
	return all
}
