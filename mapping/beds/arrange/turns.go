// Taking turns: one take after the other comes forward, stands out, and steps back.

package arrange

import (
	"math"
	"slices"

	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
)

// lead is a while in which one part stands in front. A lead that is cut by an end of the bed reaches beyond it.
type lead struct {
	part           int // rank in the order of turns
	fromSec, toSec float64
}

// schedule lets n parts lead one after the other from the bed's beginning to its end, each at least once and none for
// much longer than turnSec. Leads differ in length by chance, and by favours, one for each part; nil: all are alike.
func schedule(n int, favours []float64, seconds, turnSec float64, c chance) []lead {
	rounds := max(1, int(math.Ceil(seconds/(float64(n)*max(turnSec, 0.1)))))
	leads := make([]lead, n*rounds)
	whole := 0.0
	for k := range leads {
		length := c.between(0.85, 1.15)
		if favours != nil {
			length *= favours[k%n]
		}
		leads[k] = lead{part: k % n, fromSec: whole, toSec: whole + length}
		whole += length
	}
	for k := range leads {
		leads[k].fromSec *= seconds / whole
		leads[k].toSec *= seconds / whole
	}
	return leads
}

// gainDB is where the curve of a lead stands: 0 in its middle, 3 to 6 dB lower where the next lead takes over, and
// backDB lower from joinSec before its beginning and after its end on. The curve is a sine's, so that a take comes
// forward quickly from afar and lingers near its height.
func (l lead) gainDB(sec, joinSec, backDB float64) float64 {
	half := (l.toSec - l.fromSec) / 2
	// Where leads are short, many would lead at once if they came from as far as where they are long.
	reach := half + min(joinSec, 2.2*half)
	nearness := 1 - math.Abs(sec-l.fromSec-half)/reach
	return -backDB * (1 - math.Sin(math.Pi/2*max(nearness, 0)))
}

// turnDB is where the curve of all leads of a part stands.
func (a *arranger) turnDB(leads []lead, sec, backDB float64) float64 {
	db := -backDB
	for _, l := range leads {
		db = max(db, l.gainDB(sec, a.settings.JoinSec, backDB))
	}
	return db
}

// curve fills a.gains with the gains of a part's leads, and returns their mean power.
func (a *arranger) curve(leads []lead, backDB float64) (mean float64) {
	for k := range a.gains {
		sec := float64(k*controlFrames) / float64(a.rateHz)
		power := sound.DBToPower(a.turnDB(leads, sec, backDB))
		a.gains[k] = float32(math.Sqrt(power))
		mean += power / float64(len(a.gains))
	}
	return mean
}

// bareDB is how far takes step back at most where all of them strike: their strokes go on beneath, and no hole opens.
const bareDB = 17

// takeTurns lays all sounding parts out.
func (a *arranger) takeTurns(parts []int, places []float64, copies int) {
	order := a.byContrast(parts, places)
	seconds := float64(a.frames) / float64(a.rateHz)
	for _, part := range order {
		a.atLength(part, places[part], copies)
	}
	backs := a.backs(order)
	leads, chosen := a.audition(order, backs, seconds)
	for rank, part := range order {
		own := leadsOf(leads, rank)
		a.shares[part] = a.curve(own, chosen.backs[rank]) * a.kindPower(part) * sound.DBToPower(chosen.raisedDB[rank])
		a.raisedDB[part], a.bells[part] = chosen.raisedDB[rank], chosen.bells[rank]
		if a.materials[part].strikes {
			a.stems[part].clear()
			a.strike(part, own, chosen.backs[rank], places[part], copies)
		} else {
			a.stems[part].under(a.gains)
			a.sustain(part, own, chosen.backs[rank], places[part], copies)
		}
		a.stems[part].bringOut(chosen.bells[rank], a.rateHz)
	}
}

// atLength fills the stem of a part as if it led all the time.
func (a *arranger) atLength(part int, place float64, copies int) {
	if a.materials[part].strikes {
		spans := len(a.spans)
		a.strike(part, []lead{{toSec: float64(a.frames) / float64(a.rateHz)}}, 0, place, copies)
		a.spans = a.spans[:spans]
		return
	}
	for voice := range copies {
		a.prolong(part, voice, copies)
		a.stems[part].place(a.voice, 0, placeAt(copyPlace(place, voice, copies, a.settings.Width), 1), nil)
	}
}

// leadsOf are those of one part, given by its rank in the order of turns.
func leadsOf(leads []lead, rank int) (own []lead) {
	for _, l := range leads {
		if l.part == rank {
			own = append(own, l)
		}
	}
	return own
}

// sustained says whether one of some parts goes on.
func (a *arranger) sustained(parts []int) bool {
	return slices.ContainsFunc(parts, func(i int) bool { return !a.materials[i].strikes })
}

// backs are how far each part steps back, in the order of turns.
func (a *arranger) backs(order []int) []float64 {
	ground := a.ground(order)
	sustained := a.sustained(order)
	backs := make([]float64, len(order))
	for rank, part := range order {
		backs[rank] = a.settings.SupportDB
		switch {
		case len(order) == 1:
			backs[rank] = 0
		case ground[part]:
			backs[rank] /= 2
		case !sustained:
			backs[rank] = min(backs[rank], bareDB)
		}
	}
	return backs
}

// kindPower is the share of the power that a part gets.
func (a *arranger) kindPower(part int) float64 {
	switch m := &a.materials[part]; {
	case m.strikes:
		return KindPower(measure.Struck, &a.settings)
	case m.noisy:
		return KindPower(measure.Noisy, &a.settings)
	}
	return KindPower(measure.Held, &a.settings)
}

// KindPower is the power that takes of a kind lead with, against held ones.
func KindPower(kind measure.Kind, s *project.ArrangeSettings) float64 {
	switch kind {
	case measure.Struck:
		return sound.DBToPower(s.StruckDB)
	case measure.Noisy:
		return sound.DBToPower(s.NoisyDB)
	}
	return 1
}

// byContrast orders parts so that those that follow one another, the last and the first too, differ as much as they
// can: one that goes on after one that strikes, high after low, left after right. It exchanges two for as long as
// that gains anything.
func (a *arranger) byContrast(parts []int, places []float64) []int {
	order := make([]int, len(parts))
	for i, k := range newChance(a.seed, forOrder, 0, 0).order(len(parts)) {
		order[i] = parts[k]
	}
	whole := func() (sum float64) {
		for k, part := range order {
			sum += a.contrast(part, order[(k+1)%len(order)], places)
		}
		return sum
	}
	for best, gained := whole(), true; gained; {
		gained = false
		for i := range order {
			for j := i + 1; j < len(order); j++ {
				order[i], order[j] = order[j], order[i]
				if now := whole(); now > best+1e-9 {
					best, gained = now, true
				} else {
					order[i], order[j] = order[j], order[i]
				}
			}
		}
	}
	return order
}

// Contrasts that count as much as striking does against going on.
const (
	contrastERB   = 8 // apart in brightness
	contrastPlace = 2 // from one side to the other
)

// contrast is how much two parts differ, 0 to 3.
func (a *arranger) contrast(one, other int, places []float64) float64 {
	x, y := &a.materials[one], &a.materials[other]
	sum := math.Abs(places[one]-places[other]) / contrastPlace
	if x.strikes != y.strikes {
		sum++
	}
	if x.brightERB > 0 && y.brightERB > 0 {
		sum += min(math.Abs(x.brightERB-y.brightERB)/contrastERB, 1)
	}
	return sum
}

// ground chooses at most every third part that goes on, the steadiest, to lie beneath the others: it steps back only
// half as far.
func (a *arranger) ground(parts []int) []bool {
	ground := make([]bool, len(a.materials))
	if len(parts) < 4 {
		return ground // all of them are needed for the turns
	}
	left := len(parts) / 3
	for range parts {
		steadiest := -1
		for _, i := range parts {
			m := &a.materials[i]
			if !m.strikes && !ground[i] && m.unsteadyDB <= a.settings.ThroughDB &&
				(steadiest < 0 || m.unsteadyDB < a.materials[steadiest].unsteadyDB) {
				steadiest = i
			}
		}
		if steadiest < 0 || left == 0 {
			break
		}
		ground[steadiest] = true
		left--
	}
	return ground
}
