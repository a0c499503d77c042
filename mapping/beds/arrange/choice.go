// Choices: what an audition may change about how the parts of a bed lead.

package arrange

import (
	"math"
	"slices"
)

const (
	sparseSec = 0.6 // strokes that ring for a shorter time, until they are 20 dB lower, leave holes

	bellsPart = 0.5  // of the changes to a part that is heard for too short a time are bells
	nearDB    = 10.0 // a moment at which a part lacks more than this is not nearly one at which it is heard

	backsPart   = 0.5  // of the changes to sparse strokes let them strike on while they stand back, …
	leastBackDB = 12.0 // … no less far than this

	leadLeast = 0.4 // of the lead that a part has by its favour: the shortest that it may get …
	leadMost  = 2.2 // … and the longest
)

// choice is one that the search tries, in the order of turns.
type choice struct {
	favours  []float64 // how many times each part counts in the time that it leads
	raisedDB []float64 // what each is raised by
	backs    []float64 // how many dB each steps back
	bells    [][]Bell  // what each is brought out by
	forms    []*form   // under its bells
}

func (t *choice) clone() *choice {
	return &choice{slices.Clone(t.favours), slices.Clone(t.raisedDB), slices.Clone(t.backs), slices.Clone(t.bells),
		slices.Clone(t.forms)}
}

// change lets one part that is heard for too short a time lead longer or louder or strike on while it stands back, or
// brings it out; one that is heard for longer than it needs leads shorter or softer. It returns false where there was
// nothing to change.
func (d *audition) change(t *choice, heard []float64, c chance) bool {
	rank := c.below(len(heard))
	for range 2 { // rather one that is far from what it needs
		if other := c.below(len(heard)); math.Abs(math.Log((heard[other]+0.1)/d.wanted(other))) >
			math.Abs(math.Log((heard[rank]+0.1)/d.wanted(rank))) {
			rank = other
		}
	}
	up := heard[rank] < d.wanted(rank)
	if up && t.backs[rank] > leastBackDB && d.a.sparse(d.order[rank]) && c.unit() < backsPart {
		t.backs[rank] = max(t.backs[rank]*c.between(0.6, 0.9), leastBackDB)
		return true
	}
	if up && (d.strokes || c.unit() < bellsPart) {
		return d.bringOut(t, rank, c)
	}
	if d.strokes { // a longer lead of one that is short would be a hole
		return false
	}
	if c.unit() < 0.2 {
		up = !up
	}
	if c.unit() < 0.5 {
		step := c.between(1.1, 1.5)
		if !up {
			step = 1 / step
		}
		t.favours[rank] = min(max(t.favours[rank]*step, leadLeast*d.favours[rank]), leadMost*d.favours[rank])
		return true
	}
	stepDB := c.between(0.5, 2)
	if !up {
		stepDB = -stepDB
	}
	t.raisedDB[rank] = min(max(t.raisedDB[rank]+stepDB, -d.a.settings.RaiseDB), d.a.settings.RaiseDB)
	return true
}

// bringOut gives a part a bell where it is nearest to being heard, or a higher one.
func (d *audition) bringOut(t *choice, rank int, c chance) bool {
	d.play(t)
	hz, counts := d.beside.NearlyHz(rank, d.voices, d.powers, nearDB)
	sum := 0
	for _, count := range counts {
		sum += count
	}
	left := c.below(sum)
	at := slices.IndexFunc(counts, func(count int) bool {
		left -= count
		return left < 0
	})
	if at < 0 {
		return false
	}
	bells := withBell(t.bells[rank], Bell{hz[at], c.between(1.5, 4)}, d.a.settings.BringOutDB)
	if bells == nil {
		return false
	}
	t.bells[rank] = bells
	t.forms[rank] = d.form(rank, bells)
	return true
}

// sparse says whether a part's strokes are over before its rests are.
func (a *arranger) sparse(part int) bool {
	m := &a.materials[part]
	return m.strikes && float64(m.ringFrames) < sparseSec*float64(a.rateHz)
}

// allows says whether a choice opens no holes: where a part is sparse, it gets no larger part in the bed than it has,
// and those that come up beneath its rests are not lowered.
func (d *audition) allows(t *choice) bool {
	any, sum, sumBefore := false, 0.0, 0.0
	for rank := range d.order {
		sum, sumBefore = sum+t.favours[rank], sumBefore+d.favours[rank]
		if d.a.sparse(d.order[rank]) {
			any = true
			if t.favours[rank] > d.favours[rank] || t.raisedDB[rank] > 0 {
				return false
			}
		}
	}
	if !any {
		return true
	}
	for rank := range d.order {
		if !d.a.sparse(d.order[rank]) && t.raisedDB[rank] < 0 {
			return false
		}
	}
	return sum >= sumBefore
}
