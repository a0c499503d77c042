// The joins: where one bed of a cycle follows another, and whether the layers of a zone go together.

package check

import (
	"context"
	"fmt"
	"math"
	"slices"

	"lapstrake/engine/stream"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/work"
)

const (
	courseSec   = 0.1 // of each level
	besideSec   = 2   // that a join is compared with, on either side
	joinSpreads = 3   // a step no larger than so many spreads of the level beside it is the sound's own
)

// joins measures the level at every join, and finds layers that cancel each other or drift apart, and beds that are
// the same.
func joins(ctx context.Context, s *subject, said *PartReport) error {
	if err := s.hash(ctx); err != nil {
		return err
	}
	layers := len(s.m.Layers)
	courses := make([][]float64, len(s.m.Zones)*layers)
	tally := work.NewTally(float64(len(courses)), s.progress)
	err := work.Each(ctx, len(courses), func(_ context.Context, i int) (err error) {
		defer tally.Add(1)
		courses[i], err = cached(s.cache, "course, "+s.cycleKey(i/layers, i%layers), func() ([]float64, error) {
			return levelCourse(s.cycle(i/layers, i%layers))
		})
		return err
	})
	if err != nil {
		return err
	}
	s.judgeJoins(said, courses)
	said.Drawings = append(said.Drawings, s.drawJoins(courses))
	s.judgeSameBeds(said)
	return s.judgeLayers(ctx, said)
}

// levelCourse is the mean power of each tenth of a second of a turn, both sides together.
func levelCourse(c *stream.Cycle) ([]float64, error) {
	windows := max(int(float64(c.Frames)/(courseSec*float64(c.RateHz))), 1)
	course := make([]float64, windows)
	var frames []float32
	for i := range course {
		from, to := int64(i)*c.Frames/int64(windows), int64(i+1)*c.Frames/int64(windows)
		frames = slices.Grow(frames[:0], int(2*(to-from)))[:2*(to-from)]
		if err := c.ReadFrames(frames, from); err != nil {
			return nil, err
		}
		course[i] = sound.MeanSquare(frames)
	}
	return course, nil
}

// judgeJoins compares the level in the middle half of each crossfade with that beside it.
func (s *subject) judgeJoins(said *PartReport, courses [][]float64) {
	layers, worst := len(s.m.Layers), 0.0
	for i, course := range courses {
		zone, layer := i/layers, i%layers
		cycle, beds := s.cycle(zone, layer), s.m.Zones[zone].Beds[s.m.Layers[layer]]
		ownDB := ownStep(course, cycle, s.m.OverlapSec)
		for n, stretch := range cycle.Stretches() {
			stepDB, spreadDB := joinStep(course, cycle, stretch.To, s.m.OverlapSec)
			worst = max(worst, math.Abs(stepDB))
			if math.Abs(stepDB) < max(joinSpreads*spreadDB, ownDB) {
				continue
			}
			next := beds[(n+1)%len(beds)]
			said.judge(s.limits.JoinDB, Finding{
				What: "join_db", Place: Place{Bed: beds[n] + " into " + next, Layer: s.m.Layers[layer]},
				hear:   s.hearJoin(zone, layer, cycle, stretch.To, next+" after "+beds[n]),
				Figure: math.Abs(stepDB), Unit: "dB", Spread: spreadDB / math.Sqrt(max(s.m.OverlapSec/2/courseSec, 1)),
				Text: fmt.Sprintf("where %s follows %s the sound gets %s by %.1f dB", next, beds[n], louder(stepDB),
					math.Abs(stepDB)),
			}, func() string {
				return "lapstrake build DIR --force makes these beds anew; if they were not built here, let them " +
					"sound to their ends"
			})
		}
	}
	said.tell("level at a join against beside it, farthest", worst, "dB", lessIsBetter)
}

// joinStep is how far the level in the middle half of the crossfade around a frame lies above the line between those
// beside it, and how much the level spreads there.
func joinStep(course []float64, c *stream.Cycle, middleFrame int64, overlapSec float64) (stepDB, spreadDB float64) {
	windows := len(course)
	perSec := float64(windows) * float64(c.RateHz) / float64(c.Frames)
	at := func(sec float64) int {
		i := int(math.Floor(float64(middleFrame)/float64(c.Frames)*float64(windows)+sec*perSec)) % windows
		return (i + windows) % windows
	}
	levels := func(fromSec, toSec float64) (meanDB float64, all []float64) {
		sum, n := 0.0, 0.0
		for sec := fromSec; sec < toSec; sec += courseSec {
			power := course[at(sec)]
			sum, n = sum+power, n+1
			all = append(all, sound.PowerDB(max(power, 1e-12)))
		}
		return sound.PowerDB(max(sum/max(n, 1), 1e-12)), all
	}
	beside := min(besideSec, (float64(c.Frames)/float64(c.RateHz)/float64(len(c.Stretches()))-overlapSec)/2)
	before, allBefore := levels(-overlapSec/2-beside, -overlapSec/2)
	after, allAfter := levels(overlapSec/2, overlapSec/2+beside)
	during, _ := levels(-max(overlapSec/4, courseSec), max(overlapSec/4, courseSec))
	return during - (before+after)/2, (spread(allBefore) + spread(allAfter)) / 2
}

// ownStep is the farthest that the level steps within the beds, measured as at joins but away from them. A sound of
// strokes and rests steps all the time, and a cycle has joins enough for one of them to be beyond nine tenths of such
// steps.
func ownStep(course []float64, c *stream.Cycle, overlapSec float64) (farthestDB float64) {
	for _, stretch := range c.Stretches() {
		away := int64(overlapSec * float64(c.RateHz))
		for frame := stretch.From + away; frame < stretch.To-away; frame += int64(c.RateHz) / 4 {
			stepDB, _ := joinStep(course, c, frame, overlapSec)
			farthestDB = max(farthestDB, math.Abs(stepDB))
		}
	}
	return farthestDB
}

// spread is the standard deviation of values.
func spread(values []float64) float64 {
	sum, squares := 0.0, 0.0
	for _, v := range values {
		sum, squares = sum+v, squares+v*v
	}
	n := max(float64(len(values)), 1)
	return math.Sqrt(max(squares/n-sum*sum/n/n, 0))
}

// judgeSameBeds finds beds that are the same file twice: a cycle then says the same thing again.
func (s *subject) judgeSameBeds(said *PartReport) {
	first, same := map[string]string{}, 0
	for _, bed := range s.m.BedPaths() {
		other, twice := first[s.hashes[bed]]
		if !twice {
			first[s.hashes[bed]] = bed
			continue
		}
		same++
		said.judge(s.limits.SameBeds, Finding{
			What: "same_beds", Place: Place{Bed: bed}, Figure: float64(same), Unit: "beds",
			Text: fmt.Sprintf("%s is the same as %s", bed, other),
		}, func() string { return "lapstrake build DIR --force, or another bed in one of the places" })
	}
	said.tell("beds that are there twice", float64(same), "", lessIsBetter)
}

// judgeLayers finds zones whose layers are of different lengths, or cancel each other between the ends of the
// dynamics.
func (s *subject) judgeLayers(ctx context.Context, said *PartReport) error {
	worst, farthest := 0.0, 0.0
	for zone := range s.m.Zones {
		z := &s.m.Zones[zone]
		for layer := 1; layer < len(s.m.Layers); layer++ {
			lower, upper := s.cycle(zone, layer-1), s.cycle(zone, layer)
			beds := wordList(append(slices.Clone(z.Beds[s.m.Layers[layer-1]]), z.Beds[s.m.Layers[layer]]...))
			place := Place{Rank: z.Rank, Layer: s.m.Layers[layer], Keys: []int{z.Root}}
			driftMs := 1000 * math.Abs(lower.Seconds(0)-upper.Seconds(0))
			farthest = max(farthest, driftMs)
			said.judge(s.limits.LayerDriftMs, Finding{
				What: "layer_drift_ms", Place: place, Figure: driftMs, Unit: "ms",
				Text: fmt.Sprintf("layers %s and %s of root %s differ by %.0f ms a turn, and drift apart while a "+
					"note is held",
					s.m.Layers[layer-1], s.m.Layers[layer], s.names(z.Root), driftMs),
			}, func() string { return "make " + beds + " equally long, or lapstrake map DIR --length" })
			if lower.Frames != upper.Frames {
				continue
			}
			key := fmt.Sprint("layers, ", s.cycleKey(zone, layer-1), s.cycleKey(zone, layer))
			lossDB, err := cached(s.cache, key, func() (float64, error) { return s.layerLoss(ctx, lower, upper) })
			if err != nil {
				return err
			}
			worst = max(worst, lossDB)
			said.judge(s.limits.LayerLossDB, Finding{
				What: "layer_loss_db", Place: place, Figure: lossDB, Unit: "dB",
				Text: fmt.Sprintf("half-way between layers %s and %s, root %s loses %.1f dB: the layers cancel each "+
					"other",
					s.m.Layers[layer-1], s.m.Layers[layer], s.names(z.Root), lossDB),
			}, func() string { return "turn one of " + beds + " upside down: one of them is inverted" })
		}
	}
	said.tell("layers of a zone, farthest apart in length", farthest, "ms", lessIsBetter)
	said.tell("lost half-way between two layers, most", worst, "dB", lessIsBetter)
	return nil
}

// layerLoss is what two cycles of one length lose half-way between them against layers that have nothing in common.
func (s *subject) layerLoss(ctx context.Context, lower, upper *stream.Cycle) (lossDB float64, err error) {
	const block = 1 << 14
	a, b := make([]float32, 2*block), make([]float32, 2*block)
	var aa, bb, ab float64
	for from := int64(0); from < lower.Frames; from += block {
		n := 2 * min(block, lower.Frames-from)
		if err := lower.ReadFrames(a[:n], from); err != nil {
			return 0, err
		}
		if err := upper.ReadFrames(b[:n], from); err != nil {
			return 0, err
		}
		x, y, xy := sound.SumsOfProducts(a[:n], b[:n])
		aa, bb, ab = aa+x, bb+y, ab+xy
	}
	if aa+bb == 0 {
		return 0, ctx.Err()
	}
	return max(-sound.PowerDB(max(1+2*ab/(aa+bb), 1e-6)), 0), ctx.Err()
}
