package mapping

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Bed is one finished bed as found in a project.
type Bed struct {
	BedName
	Path string // from the project folder, with forward slashes
}

// RootAt says where in its zone the root lies.
type RootAt string

// The places of a root. RootTop only ever tunes a cycle down, RootBottom only up.
const (
	RootTop    RootAt = "top"
	RootMiddle RootAt = "middle"
	RootBottom RootAt = "bottom"
)

// Grid says how zones tile the keyboard.
type Grid struct {
	Ranks   int    // sets of zones, each of which tiles the keyboard
	Spacing int    // semitones between the roots of one rank; 0 takes the roots as they lie, dealt to the ranks in turn
	RootAt  RootAt //
	Lowest  int    // lowest key that sounds
	Highest int
	Starts  []float64 // the starts of the zones along each rank, in turn
}

// DefaultGrid is two ranks six semitones apart over the 88 keys of a piano, the
// root on top of each octave.
func DefaultGrid() Grid {
	return Grid{Ranks: 2, Spacing: 12, RootAt: RootTop, Lowest: 21, Highest: 108, Starts: DefaultStarts()}
}

// Check returns what is wrong with the grid, or nil.
func (g Grid) Check() error {
	switch {
	case g.Ranks < 1 || g.Ranks > 12:
		return fmt.Errorf("ranks %d: expected 1 to 12", g.Ranks)
	case g.Spacing < 0 || g.Spacing > 48:
		return fmt.Errorf("spacing %d: expected 1 to 48 semitones, or 0 to take the roots as they lie", g.Spacing)
	case g.Spacing%g.Ranks != 0:
		return fmt.Errorf("spacing %d does not divide into %d ranks: expected a multiple of the ranks, such as %d", g.Spacing, g.Ranks, (g.Spacing/g.Ranks+1)*g.Ranks)
	case g.Lowest < LowestKey || g.Highest > HighestKey || g.Lowest > g.Highest:
		return fmt.Errorf("keys %d to %d: expected a range within 0 to 127", g.Lowest, g.Highest)
	case g.RootAt != RootTop && g.RootAt != RootMiddle && g.RootAt != RootBottom:
		return fmt.Errorf("root at %q: expected top, middle or bottom", g.RootAt)
	}
	for _, start := range g.Starts {
		if err := checkStart(start); err != nil {
			return err
		}
	}
	return nil
}

// Generate fills in m's zones from finished beds. It returns the roots it found
// no place for on the grid. A root that lacks one of its beds is an error.
func Generate(m *Map, beds []Bed, g Grid) (unused []int, err error) {
	if err := g.Check(); err != nil {
		return nil, err
	}
	byRoot, err := m.bedsByRoot(beds)
	if err != nil {
		return nil, err
	}
	roots := make([]int, 0, len(byRoot))
	for root := range byRoot {
		roots = append(roots, root)
	}
	slices.Sort(roots)
	if len(roots) == 0 {
		return nil, errors.New("no beds: expected files such as beds/soft-a-k036.wav")
	}
	m.Zones = nil
	ranks, unused := g.deal(roots)
	names := rankNames(ranks)
	for i, rank := range ranks {
		m.addRank(names[i], rank, byRoot, g)
	}
	if len(m.Zones) == 0 {
		return unused, fmt.Errorf("no zone reaches the keys %d to %d from roots %d to %d: widen the keys or the spacing", g.Lowest, g.Highest, roots[0], roots[len(roots)-1])
	}
	return unused, nil
}

func (m *Map) bedsByRoot(beds []Bed) (map[int]map[string][]string, error) {
	byRoot := map[int]map[string][]string{}
	var problems []error
	for _, bed := range beds {
		if !slices.Contains(m.Layers, bed.Layer) || !slices.Contains(m.Strands, bed.Strand) {
			problems = append(problems, fmt.Errorf("%s: layer %q, strand %q: expected a layer of %s and a strand of %s",
				bed.Path, bed.Layer, bed.Strand, strings.Join(m.Layers, ", "), strings.Join(m.Strands, ", ")))
			continue
		}
		layers := byRoot[bed.Root]
		if layers == nil {
			layers = map[string][]string{}
			for _, layer := range m.Layers {
				layers[layer] = make([]string, len(m.Strands))
			}
			byRoot[bed.Root] = layers
		}
		place := &layers[bed.Layer][slices.Index(m.Strands, bed.Strand)]
		if *place != "" {
			problems = append(problems, fmt.Errorf("%s and %s: both are %s, strand %s, root %d; keep one", *place, bed.Path, bed.Layer, bed.Strand, bed.Root))
		}
		*place = bed.Path
	}
	for root, layers := range byRoot {
		for layer, paths := range layers {
			for i, path := range paths {
				if path == "" {
					problems = append(problems, fmt.Errorf("beds/%s: missing, while other beds of root %d are there; add it or take that root's others away",
						BedName{layer, m.Strands[i], root}, root))
				}
			}
		}
	}
	slices.SortFunc(problems, func(a, b error) int { return strings.Compare(a.Error(), b.Error()) })
	return byRoot, errors.Join(problems...)
}

// deal gives each rank its roots, lowest first.
func (g Grid) deal(roots []int) (ranks [][]int, unused []int) {
	ranks = make([][]int, g.Ranks)
	for i, root := range roots {
		rank := i % g.Ranks
		if g.Spacing > 0 {
			above, apart := (root-roots[0])%g.Spacing, g.Spacing/g.Ranks
			if above%apart != 0 {
				unused = append(unused, root)
				continue
			}
			rank = above / apart
		}
		ranks[rank] = append(ranks[rank], root)
	}
	return slices.DeleteFunc(ranks, func(rank []int) bool { return len(rank) == 0 }), unused
}

// rankNames calls each rank by the pitch class of its lowest root, and by its
// number where two ranks would bear one name.
func rankNames(ranks [][]int) []string {
	names := make([]string, len(ranks))
	for i, rank := range ranks {
		names[i] = PitchClass(rank[0])
	}
	for i, name := range names {
		if slices.Index(names, name) != i {
			for j := range names {
				names[j] = fmt.Sprint(j + 1)
			}
			break
		}
	}
	return names
}

func (m *Map) addRank(name string, roots []int, byRoot map[int]map[string][]string, g Grid) {
	for i, root := range roots {
		low, high := g.zoneKeys(roots, i)
		low, high = max(low, g.Lowest), min(high, g.Highest)
		if low > high {
			continue
		}
		zone := Zone{Rank: name, Root: root, Low: low, High: high, Beds: byRoot[root]}
		if n := len(g.Starts); n > 0 {
			zone.Start = g.Starts[i%n]
		}
		m.Zones = append(m.Zones, zone)
	}
}

// zoneKeys returns the keys that root i of a rank serves: up to its neighbours,
// and no further than the spacing where there is one.
func (g Grid) zoneKeys(roots []int, i int) (low, high int) {
	root, below, above := roots[i], LowestKey-1, HighestKey+1
	if i > 0 {
		below = roots[i-1]
	}
	if i < len(roots)-1 {
		above = roots[i+1]
	}
	reach := g.Spacing
	if reach == 0 {
		reach = HighestKey + 1
	}
	switch g.RootAt {
	case RootBottom:
		return root, min(above-1, root+reach-1)
	case RootMiddle:
		// Half-way between two roots belongs to the upper one: down sounds better than up.
		if i > 0 {
			low = (below + root + 1) / 2
		}
		high = HighestKey
		if i < len(roots)-1 {
			high = (root + above - 1) / 2
		}
		return max(low, root-reach/2), min(high, root+(reach-1)/2)
	default:
		return max(below+1, root-reach+1), root
	}
}

// KeyWarnings returns what a builder should know about the keys from lowest to
// highest: those that sound no zone, those that sound only one, and those whose
// shift is larger than maxShift semitones.
func (m *Map) KeyWarnings(lowest, highest, maxShift int) []string {
	var none, single, far []int
	for key := lowest; key <= highest; key++ {
		at := m.ZonesAt(key)
		switch len(at) {
		case 0:
			none = append(none, key)
		case 1:
			single = append(single, key)
		}
		for _, i := range at {
			if shift := key - m.Zones[i].Root; shift > maxShift || -shift > maxShift {
				far = append(far, key)
				break
			}
		}
	}
	var warnings []string
	warn := func(keys []int, text string) {
		if len(keys) > 0 {
			warnings = append(warnings, fmt.Sprintf("%s %s", m.keyRuns(keys), text))
		}
	}
	warn(none, "sound no zone: they are silent")
	warn(single, "sound only one zone: its seams can be heard and its cycle repeats alone")
	warn(far, fmt.Sprintf("are shifted by more than %d semitones", maxShift))
	return warnings
}

// keyRuns writes keys as runs of names and numbers.
func (m *Map) keyRuns(keys []int) string {
	var runs []string
	for i := 0; i < len(keys); {
		j := i
		for j+1 < len(keys) && keys[j+1] == keys[j]+1 {
			j++
		}
		run := fmt.Sprintf("%s (%d)", m.MiddleC.Name(keys[i]), keys[i])
		if j > i {
			run = fmt.Sprintf("%s–%s (%d–%d)", m.MiddleC.Name(keys[i]), m.MiddleC.Name(keys[j]), keys[i], keys[j])
		}
		runs = append(runs, run)
		i = j + 1
	}
	return "keys " + strings.Join(runs, ", ")
}
