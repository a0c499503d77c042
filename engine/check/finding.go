// What a check found: one thing at one place, with its figure and its cure.

package check

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"lapstrake/engine/show"
)

// Verdict says how something fares.
type Verdict string

// The verdicts, the best first.
const (
	Passes Verdict = "passes"
	Warns  Verdict = "warns"
	Fails  Verdict = "fails"
)

func (v Verdict) rank() int { return slices.Index([]Verdict{Passes, Warns, Fails}, v) }

// Place says where something was found. What does not matter there is empty.
type Place struct {
	Keys        []int   `json:"keys,omitempty"` // MIDI keys
	Rank        string  `json:"rank,omitempty"`
	Layer       string  `json:"layer,omitempty"`
	Bed         string  `json:"bed,omitempty"`  // path from the project's folder
	Take        string  `json:"take,omitempty"` // as the sheet names it
	Contributor string  `json:"contributor,omitempty"`
	Chord       string  `json:"chord,omitempty"`
	Dynamics    *int    `json:"dynamics,omitempty"` // value of the controller
	AtSec       float64 `json:"at_sec,omitempty"`   // in the bed, or after the chord's start

	gathers bool // one of many keys of which the same may be found
}

// differsByKey says whether one finding may speak for both places.
func (p Place) differsByKey(other Place) bool {
	return p.gathers && other.gathers && p.Rank == other.Rank && p.Layer == other.Layer && p.Bed == other.Bed
}

// onKey is the place of what may be found on many keys.
func onKey(key int) Place { return Place{Keys: []int{key}, gathers: true} }

// id tells the place from all others, from run to run.
func (p Place) id() string {
	var words []string
	for _, key := range p.Keys {
		words = append(words, fmt.Sprintf("k%03d", key))
	}
	for _, word := range []string{p.Rank, p.Layer, p.Bed, p.Take, p.Contributor, p.Chord} {
		if word != "" {
			words = append(words, word)
		}
	}
	return strings.Join(words, ",")
}

// Finding is one thing beyond a limit.
type Finding struct {
	ID      string  `json:"id"`   // what and where; the same in the next run
	What    string  `json:"what"` // the limit in the settings, such as seam_lu
	Place   Place   `json:"place"`
	Text    string  `json:"text"` // one sentence
	Figure  float64 `json:"figure"`
	Limit   float64 `json:"limit"` // that Figure is beyond: the one at which the verdict begins
	Unit    string  `json:"unit"`
	Spread  float64 `json:"spread"` // standard deviation of the figure, of other notes or moments; 0: it is exact
	Sure    float64 `json:"sure"`   // 0.5 to 1: how likely it is that the figure is beyond the limit, given its spread
	Verdict Verdict `json:"verdict"`
	Cure    string  `json:"cure"`             // a command, or a cell to change
	Waived  string  `json:"waived,omitempty"` // the reason for which it does not count

	hear *ToHear // what to play for it in the report; nil: what its place says
}

// Figure is what was measured, found fault with or not.
type Figure struct {
	Name   string  `json:"name"`
	Value  float64 `json:"value"`
	Unit   string  `json:"unit"`
	Better Better  `json:"better"`
}

// Better says which way a figure is better.
type Better string

const (
	lessIsBetter Better = "less"
	moreIsBetter Better = "more"
	neither      Better = "neither"
)

// PartReport is what one check says.
type PartReport struct {
	Name     string    `json:"name"`
	About    string    `json:"about"`
	Verdict  Verdict   `json:"verdict"`
	Figures  []Figure  `json:"figures"`
	Findings []Finding `json:"findings"`

	// Heard tells of everybody; nil in all checks but heard.
	Heard *HeardTable `json:"who_is_heard,omitempty"`

	Drawings []show.Drawing `json:"-"`
}

// tell adds a figure.
func (p *PartReport) tell(name string, value float64, unit string, better Better) {
	p.Figures = append(p.Figures, Figure{name, bounded(value), unit, better})
}

// judge adds a finding if its figure is beyond the limits: f comes without ID, limit, verdict,
// sureness and cure.
func (p *PartReport) judge(limits []float64, f Finding, cure func() string) {
	beyond := func(limit float64) bool {
		if limits[1] < limits[0] {
			return f.Figure < limit
		}
		return f.Figure > limit
	}
	switch {
	case beyond(limits[1]):
		f.Verdict, f.Limit = Fails, limits[1]
	case beyond(limits[0]):
		f.Verdict, f.Limit = Warns, limits[0]
	default:
		return
	}
	f.Figure = bounded(f.Figure)
	f.ID, f.Sure, f.Cure = f.What+":"+f.Place.id(), sureness(math.Abs(f.Figure-f.Limit), f.Spread), cure()
	p.Findings = append(p.Findings, f)
}

// bounded brings what has no bound, such as the level of silence, to a number that JSON can write.
func bounded(figure float64) float64 {
	const most = 999
	if math.IsInf(figure, 0) {
		return math.Copysign(most, figure)
	}
	return figure
}

// sureness is how likely a figure is on the side of a limit on which it was found, so far from it: by the normal
// distribution.
func sureness(apart, spread float64) float64 {
	if spread == 0 {
		return 1
	}
	return (1 + math.Erf(apart/spread/math.Sqrt2)) / 2
}

// gather makes one finding of those of one kind and verdict that differ by their key alone: the worst speaks for all.
func (p *PartReport) gather(name func(key int) string) {
	kept := []Finding{}
	for _, f := range p.Findings {
		same := slices.IndexFunc(kept, func(k Finding) bool {
			return f.What == k.What && f.Verdict == k.Verdict && f.Place.differsByKey(k.Place)
		})
		switch {
		case same < 0:
			kept = append(kept, f)
		case excess(f) > excess(kept[same]):
			f.Place.Keys = append(f.Place.Keys, kept[same].Place.Keys...)
			kept[same] = f
		default:
			kept[same].Place.Keys = append(kept[same].Place.Keys, f.Place.Keys...)
		}
	}
	for i := range kept {
		if keys := kept[i].Place.Keys; len(keys) > 1 && kept[i].Place.gathers {
			kept[i].Text += fmt.Sprintf("; %d more keys do so from %s to %s", len(keys)-1, name(slices.Min(keys)),
				name(slices.Max(keys)))
			kept[i].ID = fmt.Sprintf("%s:k%03d-k%03d", kept[i].What, slices.Min(keys), slices.Max(keys))
		}
	}
	p.Findings = kept
}

// conclude puts the worst findings first and says how the part fares. Waived findings do not count.
func (p *PartReport) conclude() {
	p.Verdict = Passes
	slices.SortStableFunc(p.Findings, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(b.Verdict.rank(), a.Verdict.rank()), cmp.Compare(excess(b), excess(a)))
	})
	for _, f := range p.Findings {
		if f.Waived == "" && f.Verdict.rank() > p.Verdict.rank() {
			p.Verdict = f.Verdict
		}
	}
}

// excess is how many times its limit a figure is, whichever way is worse.
func excess(f Finding) float64 {
	const little = 1e-9
	ratio := (f.Figure + little) / (f.Limit + little)
	return max(ratio, 1/ratio)
}
