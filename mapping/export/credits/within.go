// The ledger in time: who is heard in what is used of the beds, where a map or a bank cuts them.

package credits

import (
	"context"
	"math"
	"path"
	"slices"

	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
)

// within keeps of the ledger who sounds in the first usedSec of each bed (0: all of it), heard for as long as they are
// in the notes of such a map. Of beds of which nothing is kept, a take stays, and is heard for no longer than the bed
// is used.
func within(dir string, m *mapping.Map, heard []beds.TakeHeard, stems []beds.Stems,
	usedSec float64) ([]beds.TakeHeard, error) {
	cut := *m
	cut.BedSec = usedSec
	in, err := beds.Instrument(dir, &cut, stems)
	if err != nil {
		return nil, err
	}
	judged, err := in.Judge(context.Background(), nil)
	if err != nil {
		return nil, err
	}
	var kept []beds.TakeHeard
	for _, h := range heard {
		all := h.Beds
		h.Beds = nil
		for _, b := range all {
			bed := path.Join(project.BedsFolder, b.Bed)
			if at := held(stems, bed, &h); at >= 0 {
				if course := in.Beds[bed].Courses[at]; usedSec > 0 && !sounds(course, blocks(usedSec)) {
					continue
				}
				b.Fare(judged.Of(bed, at))
			} else if usedSec > 0 {
				b.At = slices.Clone(b.At)
				for i := range b.At {
					b.At[i].Sec = min(b.At[i].Sec, usedSec)
				}
			}
			h.Beds = append(h.Beds, b)
		}
		if h.Beds != nil {
			kept = append(kept, h)
		}
	}
	return kept, nil
}

// held is the place of a take among those of a bed; -1 where nothing is kept of the bed.
func held(stems []beds.Stems, bed string, h *beds.TakeHeard) int {
	at := slices.IndexFunc(stems, func(s beds.Stems) bool { return s.Bed == bed && s.Courses != nil })
	if at < 0 {
		return -1
	}
	return slices.IndexFunc(stems[at].Takes, func(t beds.TakeInBed) bool {
		return t.Path == h.Path &&
			t.Stretch == h.Stretch
	})
}

func blocks(sec float64) int { return int(math.Ceil(sec / hearing.BlockSec)) }

// sounds says whether a course has any sound before a block.
func sounds(c *hearing.Course, before int) bool {
	end := min(before, c.Blocks()) * hearing.Bands
	return slices.ContainsFunc(c.Steps[:end], func(step byte) bool { return step > 0 })
}
