// The ledger in time: who sounds in what is used of the beds, where a map or a bank cuts them.

package credits

import (
	"math"
	"path"
	"slices"

	"lapstrake/mapping/beds"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
)

// As the build has it: a take is audible where in one band it is above the others less maskedDB, and nothing floorDB
// below the bed's mean counts.
const maskedDB, floorDB = 6, 50

// within keeps of the ledger what sounds in the first usedSec of each bed, by what is kept beside the beds. Where
// nothing is kept, a take stays, and is heard for no longer than the bed is used.
func within(heard []beds.TakeHeard, stems []beds.Stems, usedSec float64) []beds.TakeHeard {
	byBed := map[string]*beds.Stems{}
	for i := range stems {
		byBed[stems[i].Bed] = &stems[i]
	}
	var kept []beds.TakeHeard
	for _, h := range heard {
		all := h.Beds
		h.Beds = nil
		for _, b := range all {
			left := hold(byBed[path.Join(project.BedsFolder, b.Bed)], &h, usedSec)
			if left.silent {
				continue
			}
			b.AudibleSec = min(b.AudibleSec*left.share, usedSec)
			h.Beds = append(h.Beds, b)
		}
		if h.Beds != nil {
			kept = append(kept, h)
		}
	}
	return kept
}

// held is what the first seconds of a bed hold of a take.
type held struct {
	silent bool
	share  float64 // of all the seconds in which it is audible, 0 to 1
}

func hold(s *beds.Stems, h *beds.TakeHeard, usedSec float64) held {
	unknown := held{share: 1}
	if s == nil || s.Courses == nil {
		return unknown
	}
	at := slices.IndexFunc(s.Takes, func(t beds.TakeInBed) bool { return t.Path == h.Path && t.Stretch == h.Stretch })
	if at < 0 {
		return unknown
	}
	blocks := 0
	for _, c := range s.Courses {
		blocks = max(blocks, c.Blocks())
	}
	used := min(int(math.Ceil(usedSec/hearing.BlockSec)), blocks)
	if !sounds(s.Courses[at], used) {
		return held{silent: true}
	}
	audible := audibleBlocks(s.Courses, at, blocks)
	early, whole := 0, 0
	for block, is := range audible {
		if is {
			whole++
			if block < used {
				early++
			}
		}
	}
	if whole == 0 {
		return unknown
	}
	return held{share: float64(early) / float64(whole)}
}

// sounds says whether a course has any sound before a block.
func sounds(c *hearing.Course, before int) bool {
	end := min(before, c.Blocks()) * hearing.Bands
	return slices.ContainsFunc(c.Steps[:end], func(step byte) bool { return step > 0 })
}

// audibleBlocks says in which blocks of a bed one of its takes is audible.
func audibleBlocks(courses []*hearing.Course, take, blocks int) []bool {
	sums, mean := make([]hearing.Excitation, blocks), 0.0
	for block := range sums {
		for _, c := range courses {
			for band, power := range c.At(block) {
				sums[block][band] += power
				mean += power / float64(blocks)
			}
		}
	}
	audible := make([]bool, blocks)
	for block := range audible {
		for band, power := range courses[take].At(block) {
			rest := sums[block][band] - power
			if power > mean*sound.DBToPower(-floorDB) && power > rest*sound.DBToPower(-maskedDB) {
				audible[block] = true
			}
		}
	}
	return audible
}
