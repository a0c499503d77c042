// Takes that the builder wants in every layer or strand.

package assign

import "lapstrake/mapping"

// groupsOf numbers, for each take that is wanted in every layer or strand, the groups of beds that it is to be in each
// of; nil for other takes. A take that is wanted in both layers and both strands has a group for each of the four.
func groupsOf(candidates []Candidate, slots []mapping.BedName) [][]int {
	groups := make([][]int, len(candidates))
	for i := range candidates {
		take := &candidates[i]
		if !take.EveryLayer && !take.EveryStrand {
			continue
		}
		numbers := map[mapping.BedName]int{}
		for _, slot := range slots {
			group := take.group(slot)
			number, known := numbers[group]
			if !known {
				number = len(numbers)
				numbers[group] = number
			}
			groups[i] = append(groups[i], number)
		}
	}
	return groups
}

// group is the layer and the strand of a bed, each only where the take is wanted in every one.
func (c *Candidate) group(slot mapping.BedName) (group mapping.BedName) {
	if c.EveryLayer {
		group.Layer = slot.Layer
	}
	if c.EveryStrand {
		group.Strand = slot.Strand
	}
	return group
}

// every is what a take gains by its first bed of a layer or strand in which the builder wants it.
func (m *mix) every(take, bed int) float64 {
	if groups := m.groups[take]; groups != nil && m.inGroup[take][groups[bed]] == 0 {
		return -worthEvery
	}
	return 0
}

// mostEvery is how much an exchange of the take can change by that.
func (c *costs) mostEvery(take int) float64 {
	if c.groups[take] == nil {
		return 0
	}
	return 2 * worthEvery
}
