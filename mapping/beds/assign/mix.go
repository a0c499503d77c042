// What beds gain from company that differs: the costs that depend on which takes are together.

package assign

import (
	"math"
	"slices"

	"lapstrake/mapping"
	"lapstrake/mapping/sound"
)

const (
	costSameContributor = 0.8  // for each pair of one contributor's takes in a bed
	costSameBrightness  = 0.4  // for each pair in a bed that is equally bright; none from an octave apart on
	costEchoedTake      = 1.5  // for a take that is in a neighbouring bed too, times how near that is
	costEchoedPerson    = 0.15 // for each pair of one contributor's takes in neighbouring beds, likewise
	costNoHome          = 8.0  // for a take that is moved beyond its limit in every bed it is in
	costShortBed        = 4.0  // for a bed of next to no sound, falling to 0 for takes as long as the bed together
)

// neighbour is a bed that sounds together with another, or before or after it.
type neighbour struct {
	bed  int
	near float64
}

// mix holds a placing and tells what its company costs.
type mix struct {
	*costs
	members    [][]int
	in         [][]bool
	uses       []int
	homes      []int   // of each take: beds in which it is at home
	inGroup    [][]int // of each take that is wanted everywhere: its beds of each group
	noisyTakes []int   // of each bed
	ofManner   [][manners]int
	seconds    []float64 // of each bed's takes together
	person     []int     // contributor of each take, −1 for ""
	ofPerson   [][]int   // contributor, bed: takes of theirs in it
	neighbours [][]neighbour
	bright     []float64 // octaves of each take's brightness above its own pitch; for noisy ones above key 0; NaN
	rootOctave []float64 // of each bed's root above key 0
}

func newMix(c *costs, members [][]int) *mix {
	m := &mix{costs: c, neighbours: neighboursOf(c.slots)}
	m.members = make([][]int, len(c.slots))
	m.in = make([][]bool, len(c.candidates))
	m.homes = make([]int, len(c.candidates))
	m.inGroup = make([][]int, len(c.candidates))
	m.uses, m.person = make([]int, len(c.candidates)), make([]int, len(c.candidates))
	m.noisyTakes, m.seconds = make([]int, len(c.slots)), make([]float64, len(c.slots))
	m.ofManner = make([][manners]int, len(c.slots))
	m.bright, m.rootOctave = make([]float64, len(c.candidates)), make([]float64, len(c.slots))
	numbers := map[string]int{}
	for i := range c.candidates {
		take := &c.candidates[i]
		m.in[i] = make([]bool, len(c.slots))
		m.person[i] = -1
		if c.groups[i] != nil {
			m.inGroup[i] = make([]int, len(c.slots))
		}
		if take.Contributor != "" {
			number, known := numbers[take.Contributor]
			if !known {
				number = len(numbers)
				numbers[take.Contributor] = number
				m.ofPerson = append(m.ofPerson, make([]int, len(c.slots)))
			}
			m.person[i] = number
		}
		m.bright[i] = math.Log2(take.BrightnessHz / sound.KeyHz(take.Key))
		if take.IsNoisy() || take.Fits {
			m.bright[i] = math.Log2(take.BrightnessHz / sound.KeyHz(0))
		}
	}
	for bed, slot := range c.slots {
		m.rootOctave[bed] = float64(slot.Root) / 12
		for _, take := range members[bed] {
			m.add(take, bed)
		}
	}
	return m
}

// neighboursOf finds the beds whose company is heard: those of the same layer and root follow one another in a
// cycle; those of the nearest roots below and above sound at the same keys; those of the same root in the layer
// beside it are crossfaded.
func neighboursOf(slots []mapping.BedName) [][]neighbour {
	all := make([][]neighbour, len(slots))
	roots, layers := rootsOf(slots), layersOf(slots)
	rootAt, layerAt := map[int]int{}, map[string]int{}
	for i, root := range roots {
		rootAt[root] = i
	}
	for i, layer := range layers {
		layerAt[layer] = i
	}
	for i, a := range slots {
		for j, b := range slots {
			roots := max(rootAt[a.Root]-rootAt[b.Root], rootAt[b.Root]-rootAt[a.Root])
			layers := max(layerAt[a.Layer]-layerAt[b.Layer], layerAt[b.Layer]-layerAt[a.Layer])
			near := 0.0
			switch {
			case i == j:
			case layers == 0 && roots == 0:
				near = 1
			case layers == 0 && roots == 1 && a.Strand == b.Strand:
				near = 1
			case layers == 0 && roots == 1:
				near = 0.7
			case layers == 1 && roots == 0:
				near = 0.3
			}
			if near > 0 {
				all[i] = append(all[i], neighbour{j, near})
			}
		}
	}
	return all
}

func (m *mix) add(take, bed int) {
	m.members[bed] = append(m.members[bed], take)
	m.count(take, bed, 1)
}

func (m *mix) remove(take, bed int) {
	list := m.members[bed]
	for at, member := range list {
		if member == take {
			list[at] = list[len(list)-1]
			m.members[bed] = list[:len(list)-1]
			break
		}
	}
	m.count(take, bed, -1)
}

func (m *mix) count(take, bed, by int) {
	m.in[take][bed] = by > 0
	m.uses[take] += by
	if m.isHome(take, bed) {
		m.homes[take] += by
	}
	if groups := m.groups[take]; groups != nil {
		m.inGroup[take][groups[bed]] += by
	}
	m.seconds[bed] += float64(by) * m.secondsOf(take)
	if m.noisy[take] {
		m.noisyTakes[bed] += by
	}
	m.ofManner[bed][mannerOf(&m.candidates[take], m.slots[bed])] += by
	if person := m.person[take]; person >= 0 {
		m.ofPerson[person][bed] += by
	}
}

func (m *mix) secondsOf(take int) float64 {
	if seconds := m.candidates[take].Seconds; seconds > 0 && !math.IsInf(seconds, 0) {
		return seconds
	}
	return 0
}

// joining is what it costs to put a take into a bed that it is not in, all told.
func (m *mix) joining(take, bed int) float64 {
	cost := m.place[take][bed] + m.use(take, m.uses[take]+1) + m.seat(len(m.members[bed])+1) + m.company(take, bed)
	if m.noisy[take] {
		cost += m.gate(m.noisyTakes[bed] + 1)
	}
	return cost + m.home(take, bed) + m.every(take, bed) + m.mixed(take, bed) -
		m.shortage(m.seconds[bed]) + m.shortage(m.seconds[bed]+m.secondsOf(take))
}

// home is what a take gains by its first bed in which it still sounds like itself.
func (m *mix) home(take, bed int) float64 {
	if m.homes[take] == 0 && m.isHome(take, bed) {
		return -costNoHome
	}
	return 0
}

func (m *mix) shortage(seconds float64) float64 {
	if m.BedSec <= 0 {
		return 0
	}
	return costShortBed * max(0, 1-seconds/m.BedSec)
}

// company is what a take costs by what else is in a bed and around it. It is never below 0.
func (m *mix) company(take, bed int) float64 {
	cost := 0.0
	person, bright := m.person[take], m.brightnessIn(take, bed)
	for _, other := range m.members[bed] {
		if apart := math.Abs(bright - m.brightnessIn(other, bed)); apart < 1 {
			cost += costSameBrightness * (1 - apart)
		}
	}
	if person >= 0 {
		cost += costSameContributor * float64(m.ofPerson[person][bed])
	}
	for _, n := range m.neighbours[bed] {
		echoes := 0
		if person >= 0 {
			echoes = m.ofPerson[person][n.bed]
		}
		if m.in[take][n.bed] {
			cost += costEchoedTake * n.near
			echoes = max(echoes-1, 0)
		}
		cost += costEchoedPerson * n.near * float64(echoes)
	}
	return cost
}

// brightnessIn is how many octaves a take's brightness lies above a bed's root once it is tuned to it; NaN if unknown.
func (m *mix) brightnessIn(take, bed int) float64 {
	if m.noisy[take] || m.candidates[take].Fits {
		return m.bright[take] - m.rootOctave[bed]
	}
	return m.bright[take]
}

// rootsOf lists the roots of slots, lowest first.
func rootsOf(slots []mapping.BedName) []int {
	var roots []int
	for _, slot := range slots {
		roots = append(roots, slot.Root)
	}
	slices.Sort(roots)
	return slices.Compact(roots)
}
