package mapping

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Bed is one finished bed as found in a project.
type Bed struct {
	BedName
	Path string // from the project folder, with forward slashes
}

// Generate fills in m's zones, its stagger and its fade at seams from finished beds. It returns the roots it found
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
	m.Zones, m.SeamFadeDB = nil, g.SeamFadeDB
	ranks, unused := g.deal(roots)
	names := rankNames(ranks)
	for i, rank := range ranks {
		m.addRank(names[i], rank, byRoot, g)
	}
	m.TakeStarts(g)
	if len(m.Zones) == 0 {
		return unused, fmt.Errorf("no zone reaches the keys %d to %d from roots %d to %d: widen the keys or the "+
			"spacing",
			g.LowestKey, g.HighestKey, roots[0], roots[len(roots)-1])
	}
	return unused, nil
}

func (m *Map) bedsByRoot(beds []Bed) (map[int]map[string][]string, error) {
	byRoot := map[int]map[string][]string{}
	var problems []error
	for _, bed := range beds {
		if !slices.Contains(m.Layers, bed.Layer) || !slices.Contains(m.Strands, bed.Strand) {
			problems = append(problems, fmt.Errorf(
				"%s: layer %q, strand %q: expected a layer of %s and a strand of %s", bed.Path, bed.Layer, bed.Strand,
				strings.Join(m.Layers, ", "), strings.Join(m.Strands, ", ")))
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
			problems = append(problems, fmt.Errorf("%s and %s: both are %s, strand %s, root %d; keep one",
				*place, bed.Path, bed.Layer, bed.Strand, bed.Root))
		}
		*place = bed.Path
	}
	for root, layers := range byRoot {
		for layer, paths := range layers {
			for i, path := range paths {
				if path == "" {
					problems = append(problems, fmt.Errorf("beds/%s: missing, while other beds of root %d are "+
						"there; add it or take that root's others away",
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
		if g.SpacingSemitones > 0 {
			above, apart := (root-roots[0])%g.SpacingSemitones, g.SpacingSemitones/g.Ranks
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
		if low, high := g.zoneOf(roots, i); low <= high {
			m.Zones = append(m.Zones, Zone{Rank: name, Root: root, Low: low, High: high, Beds: byRoot[root]})
		}
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
			if math.Abs(m.ShiftSemitones(&m.Zones[i], key)) > float64(maxShift) {
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
