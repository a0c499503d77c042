// The column that pins a take to a root or a bed.

package takes

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lapstrake/mapping"
)

func readBed(r *Row, cell string, o SheetOptions) error {
	cell = strings.TrimSpace(cell)
	if r.Bed = ""; cell == "" {
		return nil
	}
	if key, err := parseWhole(cell); err == nil && key >= 0 && key <= mapping.HighestKey {
		r.Bed = strconv.Itoa(key)
		return nil
	}
	if key, err := o.settled().MiddleC.ParseKey(cell); err == nil {
		r.Bed = strconv.Itoa(key)
		return nil
	}
	bed, err := mapping.ParseBedName(strings.TrimSuffix(strings.ToLower(cell), ".wav") + ".wav")
	if o = o.settled(); err == nil && bed.Root >= 0 && slices.Contains(o.Layers, bed.Layer) &&
		slices.Contains(o.Strands, bed.Strand) {
		r.Bed = strings.TrimSuffix(bed.String(), ".wav")
		return nil
	}
	return fmt.Errorf("the key or note of a root, or a bed such as %s-%s-k048, or nothing to let the build choose",
		o.Layers[0], o.Strands[0])
}

// PinnedTo says where the builder wants the take: a bed, or a root with layer and strand "". false: anywhere.
func (r *Row) PinnedTo() (mapping.BedName, bool) {
	if key, err := strconv.Atoi(r.Bed); err == nil {
		return mapping.BedName{Root: key}, true
	}
	bed, err := mapping.ParseBedName(r.Bed + ".wav")
	return bed, err == nil
}
