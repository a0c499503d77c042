// Arranging: conformed takes become one stereo bed.

package arrange

import (
	"errors"
	"fmt"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/measure"
)

// Part is one take as it goes into a bed: conformed, so in tune with the bed's root and trimmed to its sound.
type Part struct {
	Left, Right []float32 // alike long, full scale ±1; a take of one channel has the same slice twice
	Kind        measure.Kind
	// SteadinessDB is the spread of the level as takes.Measures has it; NaN when it is not known.
	SteadinessDB float64
	// BrightnessHz is the centre of its spectrum, as takes.Measures has it, after tuning; 0 or NaN when not known.
	// Takes that lead one after the other differ in it.
	BrightnessHz float64
	// GainDB is the builder's wish. It must be told even if it is in the samples already: Arrange levels what it
	// lays out anew, since the loudness of scattered strokes or of a take's steady part is not that of the take.
	GainDB float64
	// FavourDB is how much longer than others it leads, and how much more often it is struck: 6 counts about twice.
	FavourDB float64
	// Index is the caller's number for the take, the same in every build: it seeds the take's own chance, where it
	// is spliced and struck, so that this does not change with the company it is in.
	Index int
}

// Arranged is a finished bed and what became of its parts.
type Arranged struct {
	Left, Right []float32
	Spans       []Span // in the order of parts, then of time
	Laid        []Laid // one for each part, in their order
	// Courses are what each part excites in the finished bed, in their order.
	Courses []*hearing.Course

	LoudnessLUFS                   float64 // integrated
	ShortTermMinLU, ShortTermMaxLU float64 // short-term loudness against the integrated; NaN: shorter than 3 s
	TruePeakDBTP                   float64 // or, when far below the ceiling, the highest sample
	MonoLossDB                     float64 // what the mono sum loses: 0 alike, 3 unrelated channels
}

// Role is what a part does for a while.
type Role string

// The roles.
const (
	Lead    Role = "lead"    // stands in front
	Support Role = "support" // sounds on behind
	Stroke  Role = "stroke"  // one blow and its tail
)

// Span is where a part sounds. Frames are the bed's; a stroke before the bed's first frame has a negative one.
type Span struct {
	Part      int     `json:"part"`  // in the order given to Arrange
	Voice     int     `json:"voice"` // 0, or the number of the copy
	Role      Role    `json:"role"`
	FromFrame int     `json:"from_frame"`
	ToFrame   int     `json:"to_frame"` // the first after it; fades included
	GainDB    float64 `json:"gain_db"`  // against the lead's level, or a stroke's against the mean of its take's
	Place     float64 `json:"place"`    // −1 left … 1 right
}

// ErrNoParts says that nothing was given to arrange.
var ErrNoParts = errors.New("a bed needs at least one take that sounds")

// Bed lays parts into a bed of exactly `frames` frames. The parts take turns: each comes forward, stands out and steps
// back, struck ones in gestures of strokes; a bed of few parts gets copies of them. Both ends of the bed sound on, at
// level: beds are only ever heard crossfaded into one another. Strokes that began before the first frame ring into
// it, and what rings beyond the last one is cut there, where the next bed's crossfade already covers it. The same
// arguments give the same samples. Safe to call from several goroutines.
func Bed(parts []Part, company hearing.Company, s project.ArrangeSettings, frames, rateHz int,
	seed uint64) (*Arranged, error) {
	return arrangeBed(parts, company, s, frames, rateHz, seed, func(int, *stem, float64) {})
}

// arrangeBed is Bed; laid is shown each part as it goes into the sum, at its gain, before the level of the sum is seen
// to.
func arrangeBed(parts []Part, company hearing.Company, s project.ArrangeSettings, frames, rateHz int, seed uint64,
	laid func(part int, laid *stem, gain float64)) (*Arranged, error) {
	if frames <= 0 || rateHz <= 0 {
		return nil, fmt.Errorf("a bed of %d frames at %d Hz cannot be arranged: both must be positive", frames, rateHz)
	}
	a := newArranger(s, len(parts), frames, rateHz, seed)
	a.company = company
	defer a.free()
	for i, p := range parts {
		if len(p.Left) != len(p.Right) {
			return nil, fmt.Errorf("take %d has %d frames left and %d right: both must be alike", p.Index, len(p.Left),
				len(p.Right))
		}
		a.materials[i] = newMaterial(p, rateHz)
	}
	a.setApart()
	if !a.layOut() {
		return nil, ErrNoParts
	}
	bands, gains := make([]Bands, len(parts)), make([]float64, len(parts))
	for i := range parts {
		gains[i], bands[i] = a.level(i)
	}
	a.round(gains, bands)
	a.fill(bands)
	out := &Arranged{Left: make([]float32, frames), Right: make([]float32, frames), Spans: a.spans}
	for i, gain := range gains {
		a.stems[i].addTo(out.Left, out.Right, gain)
		laid(i, &a.stems[i], gain)
	}
	for i := range out.Spans {
		out.Spans[i].GainDB += a.raisedDB[out.Spans[i].Part]
	}
	for i, raisedDB := range a.raisedDB {
		out.Laid = append(out.Laid, Laid{raisedDB, a.bells[i], a.materials[i].beating})
	}
	before := hearing.BlockPowers(out.Left, out.Right, rateHz)
	out.finish(s, rateHz)
	out.Courses = a.courses(gains, before, out)
	return out, nil
}
