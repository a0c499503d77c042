// What it costs to put a take into a bed.

package assign

import (
	"math"
	"slices"

	"lapstrake/mapping"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
)

// The ranks of what matters, in the unit of moving a take as far as it may go. A place that is worth as much as one
// of these outweighs all that the ranks above it can cost for the same take together, moving and repeats included.
// A suggested strand weighs as much as so many semitones beyond the limit, since a take moved farther is like itself
// in nothing but its strand; a suggested layer weighs more than any move.
const (
	costWrongStrand  = 40.0   // against a suggestion
	costWrongLayer   = 80.0   //
	worthEvery       = 400.0  // a take in one more of the layers and strands in which the builder wants it
	worthSeat        = 800.0  // filling a bed up to its least number of takes
	costAgainstWord  = 1500.0 // against the builder's own word for a layer or strand
	worthFirstSeat   = 6000.0 // a bed that is not empty
	worthPlace       = 20000. // a take that is used
	costUnpinned     = 1e5    // a bed that the builder's pin does not allow: more than all that a seat can be worth
	worthPinned      = 500.0  // added for a take that is pinned, where seats are few
	worthContributor = 100.0  // added for a contributor's first take; half for the second, a third for the third
)

// What is weighed against each other within a rank; from trying them on made-up collections.
const (
	costRepeat      = 1.0  // for each use of a take beyond the first, over the mean number of uses
	costCrowd       = 0.4  // for each take of a bed above the least number
	costNoisyExcess = 6.0  // for each noisy take in a bed above half the least number
	costNoiseOnly   = 60.0 // and from the least number on, where it may leave the bed no pitch
	costPastLimit   = 1.0  // for each semitone past the limit
	worthStaying    = 12.0 // for a take that was in the bed before
	costOctaveAbove = 0.5  // for each octave that the tone that leads a take without a pitch lies above the root
	costOctaveBelow = 6.0  // and below it, where no harmonic is
	costOutOfBand   = 0.2  // for each octave that a noisy take's brightness lies above the bed's band
	costInGrid      = 1.5  // and below it, among the low harmonics, where noise makes a bed rough
	costLoudness    = 3.0  // for a take of open layer that is the softest of all in the loudest layer
	noisyFrom       = 2.5  // octaves above its root at which the band of a bed for noise begins
	noisyOctaves    = 5.0  // and ends
)

// costs knows all that a placing costs.
type costs struct {
	candidates []Candidate
	slots      []mapping.BedName
	Options
	// take, bed: the number of the bed's layer and strand among those in which the builder wants the take
	groups   [][]int
	noisy    []bool      // takes without a pitch
	limits   []float64   // semitones that each take may be moved; +Inf for noisy ones
	reach    []float64   // semitones within which a take is at home: its limit, or where the nearest root is
	place    [][]float64 // take, bed
	priority []float64   // for each take, what its first use is worth beyond worthPlace
	meanUses float64
	scale    float64 // keeps the worth of seats above the cost of the most repeated take
}

func newCosts(candidates []Candidate, slots []mapping.BedName, o Options) *costs {
	c := &costs{candidates: candidates, slots: slots, Options: o}
	c.MostTakes = max(c.MostTakes, 1)
	c.LeastTakes = min(max(c.LeastTakes, 1), c.MostTakes)
	c.meanUses = max(1, float64(len(slots)*c.LeastTakes)/float64(max(len(candidates), 1)))
	c.scale = costRepeat * float64(len(slots)) / leastFavour(candidates)
	layers := layersOf(slots)
	loudness := loudnessRanks(candidates)
	c.noisy = make([]bool, len(candidates))
	for i := range candidates {
		c.noisy[i] = candidates[i].IsNoisy()
	}
	c.limits, c.reach = make([]float64, len(candidates)), make([]float64, len(candidates))
	c.place = make([][]float64, len(candidates))
	for i := range candidates {
		c.limits[i] = c.limit(&candidates[i])
		c.place[i] = make([]float64, len(slots))
		nearest := math.Inf(1)
		for _, slot := range slots {
			nearest = min(nearest, math.Abs(candidates[i].distance(slot.Root)))
		}
		c.reach[i] = max(c.limits[i], nearest)
		for j, slot := range slots {
			c.place[i][j] = c.move(i, slot) + c.wrong(&candidates[i], slot, layers, loudness[i])
			if !candidates[i].Pin.allows(slot) {
				c.place[i][j] += costUnpinned + 20*c.scale
			}
		}
	}
	for bed, before := range o.Before {
		for _, take := range before {
			c.place[take][bed] -= worthStaying
		}
	}
	c.priority = priorities(candidates, c.place)
	for i := range candidates {
		if candidates[i].Pin != nil {
			c.priority[i] += worthPinned
		}
	}
	c.groups = groupsOf(candidates, slots)
	return c
}

// limit is how far a take may be moved before it sounds unlike itself: a struck one and a bright one less far, a
// soft held one farther (common practice). Brightness counts from one octave above the fundamental to three.
func (c *costs) limit(take *Candidate) float64 {
	if take.IsNoisy() {
		return math.Inf(1)
	}
	bright := 0.5
	if take.BrightnessHz > 0 && !math.IsInf(take.BrightnessHz, 0) {
		bright = min(max((math.Log2(take.BrightnessHz/sound.KeyHz(take.Key))-1)/2, 0), 1)
	}
	fragile := bright / 2
	if take.Kind == measure.Struck {
		fragile += 0.5
	}
	return max(c.SoftMoveSemitones-fragile*(c.SoftMoveSemitones-c.BrightMoveSemitones), 0.5)
}

// move is what moving a take to a bed's root costs: up to 1 within its limit, and dear beyond it. An octave is
// moved like any other distance, since it is the distance that takes a sound's identity.
func (c *costs) move(i int, slot mapping.BedName) float64 {
	take := &c.candidates[i]
	if take.IsNoisy() {
		return c.outOfBand(take, slot)
	}
	distance, limit, octaves := math.Abs(take.distance(slot.Root)), c.limits[i], 0.0
	if take.Fits {
		octaves = math.Round((take.Key - float64(slot.Root)) / 12)
	}
	cost := costOctaveAbove*max(octaves, 0) + costOctaveBelow*max(-octaves, 0)
	if distance <= limit {
		return cost + distance*distance/(limit*limit)
	}
	return cost + 1 + costPastLimit*(distance-limit)
}

// distance is how far a take is moved to a root, in semitones: one that has no pitch, to the nearest octave of it.
func (c *Candidate) distance(root int) float64 {
	distance := float64(root) - c.Key
	if c.Fits {
		distance -= 12 * math.Round(distance/12)
	}
	return distance
}

// outOfBand lets noisy takes, which are not tuned, go where their sound lies noisyFrom to noisyOctaves above the root.
func (c *costs) outOfBand(take *Candidate, slot mapping.BedName) float64 {
	if !(take.BrightnessHz > 0) || math.IsInf(take.BrightnessHz, 0) {
		return 0
	}
	octaves := math.Log2(take.BrightnessHz / sound.KeyHz(float64(slot.Root)))
	return costInGrid*max(noisyFrom-octaves, 0) + costOutOfBand*max(octaves-noisyOctaves, 0)
}

// wrong is what it costs to put a take into a layer or strand that is not its own. Loudness breaks the tie where a
// layer is open or cannot be kept: softer takes go to quieter layers.
func (c *costs) wrong(take *Candidate, slot mapping.BedName, layers []string, loudness float64) float64 {
	cost := 0.0
	if take.Layer != slot.Layer {
		if last := len(layers) - 1; last > 0 {
			cost = costLoudness * math.Abs(loudness-float64(slices.Index(layers, slot.Layer))/float64(last))
		}
		switch {
		case take.Layer == "":
		case take.LayerFixed:
			cost += costAgainstWord + c.scale
		default:
			cost += costWrongLayer
		}
	}
	switch {
	case take.Strand == slot.Strand || take.Strand == "":
	case take.StrandFixed:
		cost += costAgainstWord + c.scale
	default:
		cost += costWrongStrand
	}
	return cost
}

// layersOf lists the layers in the order of their first slots.
func layersOf(slots []mapping.BedName) []string {
	var layers []string
	for _, slot := range slots {
		if !slices.Contains(layers, slot.Layer) {
			layers = append(layers, slot.Layer)
		}
	}
	return layers
}

// loudnessRanks places each take between the softest, 0, and the loudest, 1; those of unknown loudness in the middle.
func loudnessRanks(candidates []Candidate) []float64 {
	var known []float64
	for i := range candidates {
		if v := candidates[i].LoudnessLUFS; !math.IsNaN(v) {
			known = append(known, v)
		}
	}
	slices.Sort(known)
	ranks := make([]float64, len(candidates))
	for i := range ranks {
		ranks[i] = 0.5
		if v := candidates[i].LoudnessLUFS; !math.IsNaN(v) && len(known) > 1 && known[0] < known[len(known)-1] {
			at, _ := slices.BinarySearch(known, v)
			ranks[i] = float64(at) / float64(len(known)-1)
		}
	}
	return ranks
}

// isHome says whether a take in a bed still sounds like itself.
func (c *costs) isHome(take, bed int) bool {
	return c.noisy[take] || math.Abs(c.candidates[take].distance(c.slots[bed].Root)) <= c.reach[take]
}

// priorities tell which takes go first where there are more than seats: every contributor's best fitting one, then
// every second one.
func priorities(candidates []Candidate, place [][]float64) []float64 {
	of := map[string][]int{}
	priority := make([]float64, len(candidates))
	for i := range candidates {
		if name := candidates[i].Contributor; name != "" {
			of[name] = append(of[name], i)
		} else {
			priority[i] = worthContributor * candidates[i].favour()
		}
	}
	if len(candidates) == 0 || len(place[0]) == 0 {
		return priority
	}
	for _, own := range of {
		slices.SortStableFunc(own, func(a, b int) int {
			if x, y := candidates[a].FavourDB, candidates[b].FavourDB; x != y {
				return int(math.Copysign(1, y-x))
			}
			if x, y := slices.Min(place[a]), slices.Min(place[b]); x != y {
				return int(math.Copysign(1, x-y))
			}
			return a - b
		})
		for rank, i := range own {
			priority[i] = worthContributor / float64(rank+1) * candidates[i].favour()
		}
	}
	return priority
}

// favour is how many times a take counts.
func (c *Candidate) favour() float64 { return sound.DBToAmplitude(c.FavourDB) }

// leastFavour is that of the take that is wanted least, 1 at the most.
func leastFavour(candidates []Candidate) float64 {
	least := 1.0
	for i := range candidates {
		least = min(least, candidates[i].favour())
	}
	return least
}

// use is what the nth place of a take costs; the first is worth much.
func (c *costs) use(take, nth int) float64 {
	if nth == 1 {
		return -worthPlace - c.priority[take] - 4*c.scale
	}
	return costRepeat * float64(nth-1) / c.meanUses / c.candidates[take].favour()
}

// seat is what the nth take of a bed costs; the first ones are worth much.
func (c *costs) seat(nth int) float64 {
	switch {
	case nth == 1:
		return -worthFirstSeat - 3*c.scale
	case nth <= c.LeastTakes:
		return -worthSeat - c.scale + float64(nth)/16 // emptier beds first
	}
	return costCrowd * float64(nth-c.LeastTakes)
}

// gate is what the nth noisy take of a bed costs: a bed needs a pitch.
func (c *costs) gate(nth int) float64 {
	switch {
	case nth <= c.LeastTakes/2:
		return 0
	case nth < c.LeastTakes:
		return costNoisyExcess
	}
	return costNoiseOnly
}

func (c *costs) sharing() sharing {
	return sharing{cost: c.place, gated: c.noisy, most: c.MostTakes, use: c.use, seat: c.seat, gate: c.gate}
}
