// How notes set in over the dynamics.

package check

import (
	"context"
	"fmt"
	"math"

	"lapstrake/engine"
	"lapstrake/engine/show"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/work"
)

const (
	attackSec     = 0.5  // of each note: what comes later is heard as another stroke (common practice)
	attackSlotSec = 0.75 // from one note to the next; all are silenced in between
	quickestSec   = 0.02 // what sets in faster sounds as abrupt (common practice)
	settledSec    = 0.25 // before the first note, so that the controller has arrived
)

// attackValues are the places of the dynamics at which notes are struck.
var attackValues = []int{0, 16, 32, 48, 64, 80, 96, 112, 127}

// attacks are how long each key takes to set in, in seconds, at each of attackValues: NaN where it is silent.
type attacks struct {
	keys []int
	sec  [][]float64 // by value, then key
}

// measureAttacks strikes keys as the player plays them, once at each of attackValues, each time from the same starts.
func (s *subject) measureAttacks(ctx context.Context, keys []int) (*attacks, error) {
	a := &attacks{keys: keys, sec: make([][]float64, len(attackValues))}
	err := work.Each(ctx, len(attackValues), func(ctx context.Context, i int) (err error) {
		id := "attacks: " + s.soundKey(keys, attackValues[i])
		a.sec[i], err = cached(s.cache, id, func() ([]float64, error) { return s.strike(ctx, keys, attackValues[i]) })
		return err
	})
	return a, err
}

// strike plays one key after the other and says how long each takes to set in.
func (s *subject) strike(ctx context.Context, keys []int, dynamics int) ([]float64, error) {
	const silenceAll, velocity = 120, 100
	rate := float64(s.m.RateHz)
	events := []engine.Event{engine.Control(0, 0, byte(s.m.Dynamics.Controller), byte(dynamics))}
	at := make([]int64, len(keys))
	for i, key := range keys {
		at[i] = int64((settledSec + float64(i)*attackSlotSec) * rate)
		end := at[i] + int64(attackSec*rate)
		events = append(events, engine.NoteOn(at[i], 0, byte(key), velocity), engine.NoteOff(end, 0, byte(key)),
			engine.Control(end, 0, silenceAll, 0))
	}
	sound, err := s.playEvents(ctx, events)
	if err != nil {
		return nil, err
	}
	sec := make([]float64, len(keys))
	for i, from := range at {
		to := min(from+int64(attackSec*rate), int64(len(sound.frames)/2))
		sec[i] = hearing.AttackSec(sound.frames[2*from:2*to], s.m.RateHz)
	}
	return sec, nil
}

// slower is by how many times a key takes longer to set in at some dynamics than at softer ones, and where. What is
// quicker than the ear tells counts as that quick.
func (a *attacks) slower(key int) (times float64, soft, loud int) {
	times = 1
	for late := range attackValues {
		for early := range late {
			by := max(a.sec[late][key], quickestSec) / max(a.sec[early][key], quickestSec)
			if by > times { // false for NaN
				times, soft, loud = by, early, late
			}
		}
	}
	return times, soft, loud
}

// judgeAttacks finds keys that set in slower while the dynamics rise: on most instruments what is played louder is
// there sooner (common practice).
func (s *subject) judgeAttacks(said *PartReport, a *attacks) {
	var most []float64
	for i, key := range a.keys {
		times, soft, loud := a.slower(i)
		most = append(most, times)
		said.judge(s.limits.AttackSlowerTimes, Finding{
			What: "attack_slower_times", Place: onKey(key),
			hear:   s.hearStrikes(key, attackValues[soft], attackValues[loud]),
			Figure: times, Unit: "times",
			Text: fmt.Sprintf("%s sets in within %.0f ms at dynamics %d, and takes %.0f ms at %d", s.names(key),
				1000*a.sec[soft][i], attackValues[soft], 1000*a.sec[loud][i], attackValues[loud]),
		}, func() string {
			return "takes.csv, layer: loud for takes that set in at once; or lapstrake map DIR --starts spread, so " +
				"that the key begins elsewhere"
		})
	}
	for _, i := range []int{0, len(attackValues) / 2, len(attackValues) - 1} {
		name := fmt.Sprintf("time to set in at dynamics %d, median", attackValues[i])
		said.tell(name, 1000*median(known(a.sec[i])), "ms", neither)
	}
	said.tell("sets in slower at louder dynamics, median of the keys", median(most), "times", lessIsBetter)
	said.Drawings = append(said.Drawings, s.drawAttacks(a))
}

// known leaves out what is NaN.
func known(values []float64) (kept []float64) {
	for _, v := range values {
		if !math.IsNaN(v) {
			kept = append(kept, v)
		}
	}
	return kept
}

// drawAttacks draws how long keys take to set in: the key in the middle of all, and the extremes.
func (s *subject) drawAttacks(a *attacks) show.Drawing {
	c := &show.Curves{Title: "Attack over the dynamics", Axis: show.Controller, Up: "Time to set in, in ms",
		Across: fmt.Sprintf("dynamics (controller %d)", s.m.Dynamics.Controller)}
	c.Curves = []show.Curve{{Name: "median of the keys"}, {Name: "slowest"}, {Name: "quickest"}}
	for i, value := range attackValues {
		sec := known(a.sec[i])
		if len(sec) == 0 {
			continue
		}
		low, high := extremes(sec)
		for n, y := range []float64{median(sec), high, low} {
			c.Curves[n].X, c.Curves[n].Y = append(c.Curves[n].X, float64(value)), append(c.Curves[n].Y, 1000*y)
		}
	}
	return c
}
