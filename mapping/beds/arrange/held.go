// Held takes: they sound all the time, and their level follows their turns.

package arrange

import "math"

// sustain notes the spans of a part that goes on: its voices sound all the time, under the gains of its leads.
func (a *arranger) sustain(part int, leads []lead, backDB, place float64, copies int) {
	for voice := range copies {
		at := copyPlace(place, voice, copies, a.settings.Width)
		a.span(part, voice, Support, 0, a.frames, -backDB, at)
		for _, l := range leads {
			a.span(part, voice, Lead, a.frameAt(l.fromSec), a.frameAt(l.toSec), 0, at)
		}
	}
}

func (a *arranger) span(part, voice int, role Role, from, to int, gainDB, place float64) {
	a.spans = append(a.spans, Span{part, voice, role, from, min(to, a.frames), gainDB, place})
}

func (a *arranger) frameAt(sec float64) int {
	return min(max(int(math.Round(sec*float64(a.rateHz))), 0), a.frames)
}
