// What differs between two maps, in a person's words.

package mapping

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
)

// Differences lists what another map has otherwise, field by field as map.toml names them, such as
// "headroom_db 12 → 18"; zones are known again by rank and root.
func (m *Map) Differences(other *Map) []string {
	all := fieldDifferences("", reflect.ValueOf(m).Elem(), reflect.ValueOf(other).Elem())
	for i := range m.Zones {
		z := &m.Zones[i]
		place := fmt.Sprintf("rank %s, root %d", z.Rank, z.Root)
		if now := other.zone(z.Rank, z.Root); now == nil {
			all = append(all, place+" has gone")
		} else {
			all = append(all, fieldDifferences(place+": ", reflect.ValueOf(z).Elem(), reflect.ValueOf(now).Elem())...)
		}
	}
	for i := range other.Zones {
		if z := &other.Zones[i]; m.zone(z.Rank, z.Root) == nil {
			all = append(all, fmt.Sprintf("rank %s, root %d is new", z.Rank, z.Root))
		}
	}
	return all
}

// zone finds a zone, or nil.
func (m *Map) zone(rank string, root int) *Zone {
	at := slices.IndexFunc(m.Zones, func(z Zone) bool { return z.Rank == rank && z.Root == root })
	if at < 0 {
		return nil
	}
	return &m.Zones[at]
}

// fieldDifferences compares two values of one kind of struct, but for lists of structs.
func fieldDifferences(before string, a, b reflect.Value) (all []string) {
	for i := range a.NumField() {
		name, _, _ := strings.Cut(a.Type().Field(i).Tag.Get("toml"), ",")
		x, y := a.Field(i), b.Field(i)
		switch kind := x.Kind(); {
		case kind == reflect.Slice && x.Type().Elem().Kind() == reflect.Struct:
		case kind == reflect.Struct:
			all = append(all, fieldDifferences(before+name+".", x, y)...)
		case (kind == reflect.Slice || kind == reflect.Map) && x.Len() == 0 && y.Len() == 0:
		case !reflect.DeepEqual(x.Interface(), y.Interface()):
			all = append(all, fmt.Sprintf("%s%s %v → %v", before, name, x.Interface(), y.Interface()))
		}
	}
	return all
}
