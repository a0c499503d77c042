// Held takes: long overlapping windows in which one or two lead and the others support them.

package arrange

import (
	"math"
	"sort"

	"lapstrake/mapping/sound"
)

// turn is a window in which one held part leads.
type turn struct {
	part                  int // rank in the order of turns
	fromSec, toSec        float64
	fadeInSec, fadeOutSec float64 // 0: under way when the bed begins or ends
}

// drawTurns lets n parts follow one another in two lanes that change over at different times: turn k runs from the k-th
// change to the second one after it, so that two lead at any moment, or one and two that change places. Changes come at
// irregular distances, and often enough that each part leads at least once. favours stretches the times of those whose
// number is above that of others; nil: all are alike.
func drawTurns(n int, favours []float64, seconds, turnSec, joinSec float64, c chance) []turn {
	changes := max(n-2, int(math.Round(seconds/max(turnSec, 0.1))), 1)
	every := seconds / float64(changes)
	joinSec = min(joinSec, 0.8*every)
	at := make([]float64, changes)
	for k := range at {
		at[k] = every * (float64(k) + 0.5 + c.between(-0.22, 0.22))
	}
	if favours != nil {
		joinSec = min(joinSec, 0.8*favoured(at, favours, seconds))
	}
	starts := []float64{0, 0}
	for _, sec := range at {
		starts = append(starts, sec-joinSec/2)
	}
	turns := make([]turn, len(starts))
	for k, at := range starts {
		turns[k] = turn{part: k % n, fromSec: at, toSec: seconds}
		if k >= 2 {
			turns[k].fadeInSec = joinSec
		}
		if k+2 < len(starts) {
			turns[k].toSec, turns[k].fadeOutSec = starts[k+2]+joinSec, joinSec
		}
	}
	return turns
}

// favoured moves the changes at some seconds so that what lies between two of them is longer the more its two leading
// parts are favoured, and returns the least distance of two.
func favoured(at []float64, favours []float64, seconds float64) (leastSec float64) {
	n, whole, before := len(favours), 0.0, 0.0
	lengths := make([]float64, len(at)+1)
	for i := range lengths {
		end := seconds
		if i < len(at) {
			end = at[i]
		}
		lengths[i] = (end - before) * (favours[i%n] + favours[(i+1)%n]) / 2
		whole, before = whole+lengths[i], end
	}
	sum, leastSec := 0.0, seconds
	for i := range at {
		sum += lengths[i] * seconds / whole
		if i > 0 {
			leastSec = min(leastSec, sum-at[i-1])
		}
		at[i] = sum
	}
	return leastSec
}

// weight is the share of the lead that a turn has at a moment: raised-cosine flanks, so that the shares of two turns
// that change places sum to 1.
func (t turn) weight(sec float64) float64 {
	w := 1.0
	if t.fadeInSec > 0 {
		w = flank((sec - t.fromSec) / t.fadeInSec)
	}
	if t.fadeOutSec > 0 {
		w *= flank((t.toSec - sec) / t.fadeOutSec)
	}
	return w
}

func flank(x float64) float64 { return 0.5 - 0.5*math.Cos(math.Pi*min(max(x, 0), 1)) }

// takeTurns lays the held parts out and returns the mean power of one of them, against one that leads all the time.
func (a *arranger) takeTurns(parts []int, places []float64, copies int) float64 {
	through := a.throughParts(parts)
	var turning []int
	for _, i := range bySides(parts, places) {
		if !through[i] {
			turning = append(turning, i)
		}
	}
	c := newChance(a.seed, forTurns, 0, 0)
	seconds := float64(a.frames) / float64(a.rateHz)
	support := sound.DBToPower(-a.settings.SupportDB)
	if len(turning) <= 2 {
		support = 1 // both lead all the time
	}
	share := 1.0
	if n := len(turning); n > 0 {
		share = support + (1-support)*min(2/float64(n), 1)
		first := c.below(n)
		turns := drawTurns(n, a.favours(turning, first), seconds, a.settings.TurnSec, a.settings.JoinSec, c)
		for k, i := range turning {
			var own []turn
			for _, t := range turns {
				if (t.part+first)%n == k {
					own = append(own, t)
				}
			}
			a.leadAndSupport(i, own, support, places[i], copies)
		}
	}
	for _, i := range parts {
		if through[i] {
			a.soundThrough(i, share, places[i], copies)
		}
	}
	return share
}

// favours are those of held parts in the order of turns, of which the first one's rank is given; nil: all are alike.
func (a *arranger) favours(turning []int, first int) []float64 {
	favours, differ := make([]float64, len(turning)), false
	for rank := range favours {
		// Turn t belongs to the part at (t+first)%n.
		favours[rank] = a.materials[turning[(rank+first)%len(turning)]].favour
		differ = differ || favours[rank] != favours[0]
	}
	if !differ {
		return nil
	}
	return favours
}

// throughParts chooses at most every third held part, the steadiest, to sound all the time at one level.
func (a *arranger) throughParts(parts []int) []bool {
	through := make([]bool, len(a.materials))
	steadiest := append([]int(nil), parts...)
	sort.SliceStable(steadiest, func(x, y int) bool {
		return a.materials[steadiest[x]].unsteadyDB < a.materials[steadiest[y]].unsteadyDB
	})
	if len(parts) < 4 {
		return through // all of them are needed for the turns
	}
	for _, i := range steadiest[:len(parts)/3] {
		through[i] = a.materials[i].unsteadyDB <= a.settings.ThroughDB
	}
	return through
}

// bySides orders parts so that those of the left and of the right follow one another in turn.
func bySides(parts []int, places []float64) []int {
	sorted := append([]int(nil), parts...)
	sort.SliceStable(sorted, func(x, y int) bool { return places[sorted[x]] < places[sorted[y]] })
	half := (len(sorted) + 1) / 2
	var out []int
	for k := range half {
		out = append(out, sorted[k])
		if half+k < len(sorted) {
			out = append(out, sorted[half+k])
		}
	}
	return out
}

// leadAndSupport gives a part its voices and the gains of its turns.
func (a *arranger) leadAndSupport(part int, own []turn, support, place float64, copies int) {
	mean := 0.0
	for k := range a.gains {
		sec := float64(k*controlFrames) / float64(a.rateHz)
		w := 0.0
		for _, t := range own {
			w += t.weight(sec)
		}
		power := support + (1-support)*min(w, 1)
		a.gains[k] = float32(math.Sqrt(power))
		mean += power / float64(len(a.gains))
	}
	a.shares[part] = mean * a.kindPower(part)
	for voice := range copies {
		at := a.sound(part, voice, copies, place)
		if support < 1 {
			a.span(part, voice, Support, 0, a.frames, -a.settings.SupportDB, at)
			for _, t := range own {
				a.span(part, voice, Lead, a.frameAt(t.fromSec), a.frameAt(t.toSec), 0, at)
			}
		} else {
			a.span(part, voice, Lead, 0, a.frames, 0, at)
		}
	}
}

func (a *arranger) soundThrough(part int, share, place float64, copies int) {
	for k := range a.gains {
		a.gains[k] = float32(math.Sqrt(share))
	}
	a.shares[part] = share * a.kindPower(part)
	for voice := range copies {
		at := a.sound(part, voice, copies, place)
		a.span(part, voice, Through, 0, a.frames, sound.PowerDB(share), at)
	}
}

// sound adds one voice of a held part to its stem, under the gains, and returns its place.
func (a *arranger) sound(part, voice, copies int, place float64) float64 {
	at := copyPlace(place, voice, copies, a.settings.Width)
	a.prolong(part, voice, copies)
	a.stems[part].place(a.voice, 0, placeAt(at, 1), a.gains)
	return at
}

// kindPower is the share of the power that noisy parts are held back to.
func (a *arranger) kindPower(part int) float64 {
	if a.materials[part].noisy {
		return sound.DBToPower(a.settings.NoisyDB)
	}
	return 1
}

func (a *arranger) span(part, voice int, role Role, from, to int, gainDB, place float64) {
	a.spans = append(a.spans, Span{part, voice, role, from, min(to, a.frames), gainDB, place})
}

func (a *arranger) frameAt(sec float64) int {
	return min(max(int(math.Round(sec*float64(a.rateHz))), 0), a.frames)
}
