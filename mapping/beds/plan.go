// What a build would make, told before it starts.

package beds

import (
	"math"
	"slices"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

// PlanTakes is what a plan needs to know of the takes that would be used.
type PlanTakes struct {
	Takes    int
	SoundSec float64 // of all of them together, from onset to end
}

// Plan tells what the settings make of the takes.
type Plan struct {
	PlanRow
	Zones        int       `json:"zones"`
	Heads        int       `json:"heads"`        // beginnings of cycles that a player keeps in memory
	Alternatives []PlanRow `json:"alternatives"` // other lengths, then other grids, with the present ones among them
}

// PlanRow tells the size of one choice of bed length and grid.
type PlanRow struct {
	Present          bool    `json:"present"` // as the settings are
	LengthSec        float64 `json:"length_sec"`
	Ranks            int     `json:"ranks"`
	SpacingSemitones int     `json:"spacing_semitones"`
	Roots            int     `json:"roots"`
	Beds             int     `json:"beds"`
	BedSeconds       float64 `json:"bed_seconds"`        // of sound in all beds together
	Bytes            int64   `json:"bytes"`              // on disk, but for a few hundred bytes of header a bed
	CycleSec         float64 `json:"cycle_sec"`          // until a key at its root comes round
	LongestCycleSec  float64 `json:"longest_cycle_sec"`  // the same at the lowest key of a zone
	ShortestCycleSec float64 `json:"shortest_cycle_sec"` // and at its highest
	// semitones; takes within the roots' range are moved by half of it at most
	RootsApart  int     `json:"roots_apart"`
	TakesPerBed float64 `json:"takes_per_bed"` // on average
	UsesPerTake float64 `json:"uses_per_take"` // beds that a take is in, on average
	Unplaced    int     `json:"unplaced"`      // takes for which there are no seats
	BuildSec    float64 `json:"build_sec"`     // a rough estimate
}

// The lengths and grids that a plan compares.
var (
	planLengths = []float64{5, 8, 15, 30, 60}
	planGrids   = [][2]int{{1, 12}, {1, 6}, {2, 12}, {2, 8}, {3, 12}, {4, 12}} // ranks, semitones of spacing
)

// NewPlan tells what a build from takes would make of checked settings on a machine of so many processors. Nothing is
// read or written.
func NewPlan(s *project.Settings, takes PlanTakes, processors int) *Plan {
	zones := len(s.Grid.Roots())
	p := &Plan{PlanRow: planRow(s, takes, processors), Zones: zones, Heads: planHeads(s)}
	p.Present = true
	lengths := append(slices.Clone(planLengths), s.Beds.LengthSec)
	slices.Sort(lengths)
	for _, length := range slices.Compact(lengths) {
		other := *s
		other.Beds.LengthSec = length
		p.compare(s, &other, takes, processors)
	}
	grids := planGrids
	if present := [2]int{s.Grid.Ranks, s.Grid.SpacingSemitones}; !slices.Contains(grids, present) {
		grids = append(slices.Clone(grids), present)
	}
	for _, grid := range grids {
		other := *s
		other.Grid.Ranks, other.Grid.SpacingSemitones = grid[0], grid[1]
		// the present grid is among the lengths
		if other.Grid.Ranks != s.Grid.Ranks || other.Grid.SpacingSemitones != s.Grid.SpacingSemitones {
			p.compare(s, &other, takes, processors)
		}
	}
	return p
}

// compare adds a row for settings that a project could have instead.
func (p *Plan) compare(present, other *project.Settings, takes PlanTakes, processors int) {
	if other.Check() != nil {
		return
	}
	row := planRow(other, takes, processors)
	row.Present = other.Beds.LengthSec == present.Beds.LengthSec &&
		other.Grid.Ranks == present.Grid.Ranks && other.Grid.SpacingSemitones == present.Grid.SpacingSemitones
	p.Alternatives = append(p.Alternatives, row)
}

const bytesPerFrame = 6 // two channels of 24 bits

func planRow(s *project.Settings, takes PlanTakes, processors int) PlanRow {
	roots := len(s.Grid.Roots())
	beds := roots * len(s.Project.Layers) * len(s.Project.Strands)
	frames := int64(s.BedFrames())
	row := PlanRow{
		LengthSec: s.Beds.LengthSec, Ranks: s.Grid.Ranks, SpacingSemitones: s.Grid.SpacingSemitones,
		RootsApart: s.Grid.SpacingSemitones / s.Grid.Ranks,
		Roots:      roots, Beds: beds,
		BedSeconds: float64(beds) * s.Beds.LengthSec, Bytes: int64(beds) * frames * bytesPerFrame,
	}
	used := make([]int64, len(s.Project.Strands))
	for i := range used {
		used[i] = frames
	}
	overlap := int64(math.Round(s.Beds.OverlapSec * float64(s.Project.RateHz)))
	cycle := mapping.CycleLength{Frames: mapping.CycleFrames(used, overlap), RateHz: s.Project.RateHz}
	low, high := s.Grid.Zone(0)
	row.CycleSec, row.LongestCycleSec, row.ShortestCycleSec = cycle.Seconds(0), cycle.Seconds(float64(low)),
		cycle.Seconds(float64(high))
	if takes.Takes == 0 || beds == 0 {
		return row
	}
	row.Unplaced = max(0, takes.Takes-beds*s.Beds.MostTakes)
	seats := planSeats(s, takes.Takes, beds)
	row.TakesPerBed = float64(seats) / float64(beds)
	row.UsesPerTake = float64(seats) / float64(takes.Takes-row.Unplaced)
	meanSec := takes.SoundSec / float64(takes.Takes)
	row.BuildSec = buildSec(float64(takes.Takes-row.Unplaced)*meanSec, float64(seats)*meanSec,
		row.BedSeconds, processors)
	return row
}

// planSeats is how many places are taken: each bed's least number, each take's one.
func planSeats(s *project.Settings, takes, beds int) int {
	return min(max(beds*min(s.Beds.LeastTakes, takes), takes), beds*s.Beds.MostTakes)
}

// Seconds of work on one processor, measured on the demo: 12 takes in 32 beds of 2 s, 48 and 200 takes
// of 5 s in 64 beds of 15 s.
const (
	cleanWork   = 0.027 // for each second of a take, once
	conformWork = 0.003 // for each second of a take in a bed
	arrangeWork = 0.009 // for each second of a bed
	searchWork  = 1     // for finding each take its place
)

func buildSec(cleanedSec, conformedSec, bedSec float64, processors int) float64 {
	return (searchWork + cleanWork*cleanedSec + conformWork*conformedSec + arrangeWork*bedSec) /
		float64(max(processors, 1))
}

// BuildRangeSec is how long the build may take: other processors and other takes need up to half as much again, or
// less.
func (row *PlanRow) BuildRangeSec() (least, most float64) {
	return row.BuildSec / 1.5, row.BuildSec * 1.5
}

// planHeads counts the starts of all cycles, each once for every layer.
func planHeads(s *project.Settings) (heads int) {
	var beds []mapping.Bed
	for _, slot := range s.Slots() {
		beds = append(beds, project.BedAt(slot))
	}
	m, _, err := s.Map(beds)
	if err != nil {
		return 0 // no roots
	}
	for i := range m.Zones {
		heads += len(m.Starts(&m.Zones[i])) * len(m.Layers)
	}
	return heads
}
