// Takes that the builder pins to a root or to a bed.

package assign

import (
	"fmt"
	"strings"

	"lapstrake/mapping"
)

// Pin is where the builder wants a take: the beds of a root, of a layer and strand where they are not "".
type Pin struct {
	Layer, Strand string
	Root          int
}

func (p *Pin) allows(slot mapping.BedName) bool {
	return p == nil || p.Root == slot.Root && (p.Layer == "" || p.Layer == slot.Layer) &&
		(p.Strand == "" || p.Strand == slot.Strand)
}

// String names the bed, or the root by its key.
func (p *Pin) String() string {
	if p.Layer == "" {
		return fmt.Sprintf("root %d", p.Root)
	}
	return strings.TrimSuffix(mapping.BedName{Layer: p.Layer, Strand: p.Strand, Root: p.Root}.String(), ".wav")
}

// unpinned says why a pinned take is in no bed.
func (c *costs) unpinned(pin *Pin) string {
	for _, slot := range c.slots {
		if pin.allows(slot) {
			return fmt.Sprintf("pinned to %s, whose seats are all taken by others that are pinned there: pin fewer, "+
				"or raise most_takes from %d", pin, c.MostTakes)
		}
	}
	roots := strings.Trim(fmt.Sprint(rootsOf(c.slots)), "[]")
	return fmt.Sprintf("pinned to %s, and there is no such bed: the roots are %s", pin, roots)
}
