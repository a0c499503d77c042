// Even turns: the order of the parts, and how far each steps back, are chosen so that the timbre goes on changing, and
// by about as much at all times.

package arrange

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	outlookSec  = 0.5  // the outlook has a moment for each
	outlookLag  = 5.0  // s after which a held note is to sound otherwise, in a third of shorter beds
	outlookDB   = 35.0 // bands so far below the strongest do not count
	outlookDeep = 70.0 // dB under the whole at which nothing sounds any more
	evenness    = 1.5  // what the spread of the changes counts against their mean, both as logarithms
	leastOfMost = 0.85 // of the contrast that neighbours can have is kept

	// How far takes may step back, in parts of what the settings say, and in what steps that is tried. Steady ones lie
	// beneath the others.
	groundLeast, backLeast, backMost, backStep = 0.375, 0.625, 1.25, 0.125
	evenSweeps                                 = 6
)

// outlook tells how the timbre of a bed will change under an order of turns, from what each part excites on the mean.
type outlook struct {
	a        *arranger
	seconds  float64
	ground   []bool
	powers   [][erbBands]float64 // by part, while it leads
	weights  [erbBands]float64   // how many mel bands each holds
	levelsDB [][erbBands]float64 // scratch: by moment
	lags     []int               // moments after which the timbre is compared with itself
}

// evenTurns returns the parts in the order of their turns, and by how many dB each steps back. It exchanges two, or
// lets one step back by more or less, for as long as that gains anything.
func (a *arranger) evenTurns(parts []int, places []float64, seconds float64) (order []int, backs []float64) {
	order = a.byContrast(parts, places)
	backs = a.backs(order)
	if len(parts) < 2 {
		return order, backs
	}
	o := a.newOutlook(parts, seconds)
	contrast := leastOfMost * a.contrasts(order, places)
	best := o.judge(order, backs)
	for range evenSweeps {
		before := best
		best = o.exchange(order, backs, best, func() bool { return a.contrasts(order, places) >= contrast })
		best = o.stepBack(order, backs, best)
		if best <= before {
			break
		}
	}
	return order, backs
}

// leastGain is what a change has to gain, so that rounding decides nothing.
const leastGain = 1e-9

// exchange lets two takes change places wherever that is better and allowed, and returns how good the turns then are.
func (o *outlook) exchange(order []int, backs []float64, best float64, allowed func() bool) float64 {
	for i := range order {
		for j := i + 1; j < len(order); j++ {
			order[i], order[j], backs[i], backs[j] = order[j], order[i], backs[j], backs[i]
			now := math.Inf(-1)
			if allowed() {
				now = o.judge(order, backs)
			}
			if now > best+leastGain {
				best = now
			} else {
				order[i], order[j], backs[i], backs[j] = order[j], order[i], backs[j], backs[i]
			}
		}
	}
	return best
}

// stepBack lets takes step back by more or less wherever that is better, but for those of beds of strokes alone.
func (o *outlook) stepBack(order []int, backs []float64, best float64) float64 {
	whole := o.a.settings.SupportDB
	if !o.a.sustained(order) {
		return best
	}
	for rank, part := range order {
		least, most := backLeast*whole, backMost*whole
		if o.ground[part] {
			least, most = groundLeast*whole, backLeast*whole
		}
		for _, step := range []float64{-backStep, backStep} {
			for {
				was := backs[rank]
				backs[rank] = min(max(was+step*whole, least), most)
				now := o.judge(order, backs)
				if now <= best+leastGain {
					backs[rank] = was
					break
				}
				best = now
			}
		}
	}
	return best
}

func (a *arranger) newOutlook(parts []int, seconds float64) *outlook {
	o := &outlook{a: a, seconds: seconds, ground: a.ground(parts)}
	o.powers = make([][erbBands]float64, len(a.materials))
	for _, part := range parts {
		bands := a.bands.measure(&a.stems[part], a.frames)
		if heard := bands.heardPower(); heard > 0 {
			bands.scale(a.kindPower(part) / heard)
		}
		o.powers[part] = bands.mean()
	}
	mel := func(hz float64) float64 { return math.Log1p(hz / 700) }
	for band := range o.weights {
		o.weights[band] = mel(sound.ERBHz(erbFirst+float64(band)+1)) - mel(sound.ERBHz(erbFirst+float64(band)))
	}
	o.levelsDB = make([][erbBands]float64, max(int(seconds/outlookSec), 2))
	for _, keys := range []float64{0, 1} { // at the root and in the middle of its zone
		if ratio := math.Pow(a.company.Ratio, keys); ratio > 0 {
			o.lags = append(o.lags, max(int(math.Round(min(outlookLag*ratio, seconds/3)/outlookSec)), 1))
		}
	}
	return o
}

// judge is higher the more the timbre changes, and the more evenly.
func (o *outlook) judge(order []int, backs []float64) (good float64) {
	o.foretell(order, backs)
	for _, lag := range o.lags {
		good += o.even(lag)
	}
	return good
}

// even is higher the more the timbre has changed after so many moments, and the more evenly.
func (o *outlook) even(lag int) float64 {
	n, sum, squares := 0.0, 0.0, 0.0
	for k := 0; k+lag < len(o.levelsDB); k++ {
		change := math.Log(o.changeDB(&o.levelsDB[k], &o.levelsDB[k+lag]) + 0.1)
		n, sum, squares = n+1, sum+change, squares+change*change
	}
	mean := sum / max(n, 1)
	return mean - evenness*math.Sqrt(max(squares/max(n, 1)-mean*mean, 0))
}

// foretell fills in the levels of the moments in the bands that count; −Inf in the others.
func (o *outlook) foretell(order []int, backs []float64) {
	leads := schedule(len(order), nil, o.seconds, o.a.settings.TurnSec, newChance(o.a.seed, forTurns, 0, 0))
	var means [erbBands]float64
	whole := 0.0
	for k := range o.levelsDB {
		o.levelsDB[k] = [erbBands]float64{}
	}
	for rank, part := range order {
		own := leadsOf(leads, rank)
		curve := o.curve(part, own, backs[rank])
		for k := range o.levelsDB {
			for band, p := range &o.powers[part] {
				o.levelsDB[k][band] += curve[k] * p
				whole += curve[k] * p / float64(len(o.levelsDB))
			}
		}
	}
	deep := whole * sound.DBToPower(-outlookDeep)
	for k := range o.levelsDB {
		for band := range o.levelsDB[k] {
			o.levelsDB[k][band] = sound.PowerDB(o.levelsDB[k][band] + deep)
			means[band] += o.levelsDB[k][band] / float64(len(o.levelsDB))
		}
	}
	strongest := math.Inf(-1)
	for _, mean := range means {
		strongest = max(strongest, mean)
	}
	for k := range o.levelsDB {
		for band, mean := range means {
			if mean < strongest-outlookDB {
				o.levelsDB[k][band] = math.Inf(-1)
			}
		}
	}
}

// curve is the power of a part against that of its lead, by moment. Strokes end once they are no louder than an echo, and
// ring out.
func (o *outlook) curve(part int, leads []lead, backDB float64) []float64 {
	m := &o.a.materials[part]
	ringSec := max(float64(m.ringFrames)/float64(o.a.rateHz), 0.1)
	powers, db := make([]float64, len(o.levelsDB)), -outlookDeep
	for k := range powers {
		turnDB := o.a.turnDB(leads, (float64(k)+0.5)*outlookSec, backDB)
		switch db -= 20 * outlookSec / ringSec; {
		case !m.strikes:
			db = turnDB
		case turnDB >= -echoDB:
			db = max(db, turnDB)
		}
		powers[k] = sound.DBToPower(db)
	}
	return powers
}

// changeDB is how far two moments are apart: the root of the mean square over the bands, less the mean of each.
func (o *outlook) changeDB(x, y *[erbBands]float64) float64 {
	sum, squares, weights := 0.0, 0.0, 0.0
	for band, weight := range &o.weights {
		if d := x[band] - y[band]; !math.IsNaN(d) {
			sum, squares, weights = sum+weight*d, squares+weight*d*d, weights+weight
		}
	}
	if weights == 0 {
		return 0
	}
	mean := sum / weights
	return math.Sqrt(max(squares/weights-mean*mean, 0))
}
