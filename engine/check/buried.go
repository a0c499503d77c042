// Why a take is not heard, and what would free it.

package check

import (
	"cmp"
	"fmt"
	"math"
	"path"
	"slices"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/ledger"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes"
)

const (
	mostCureDB   = 12.0 // what the level alone may reasonably cure
	keptPartials = 4    // of a take that lies over another: what is tried
	cutAbove     = 4.5  // times its fundamental
)

// reason is why a placement is not heard on the key on which it is heard the longest.
type reason struct {
	key       int
	over      []hearing.Over // who does most first
	under     []string       // their takes; "" where they are not known
	lackDB    float64        // mean over the keys: how much louder it would have to be to be heard long enough
	sones     float64        // of the take within the note
	noteSones float64
	freedBy   string  // whose upper partials lie over it
	freedSec  float64 // for how long it is heard without them
}

// why listens again to the key on which a placement is heard the longest.
func (l *listening) why(p *placement) (r reason) {
	dynamics, _ := p.best()
	on := slices.MaxFunc(p.Fares[dynamics].Keys, func(a, b ledger.OnKey) int {
		return cmp.Or(cmp.Compare(a.Sec, b.Sec), cmp.Compare(b.LackDB(p.wantedSec), a.LackDB(p.wantedSec)))
	})
	r.key = on.Key
	r.lackDB = p.Fares[dynamics].LackDB(p.wantedSec)
	n := l.Note(r.key)
	powers := n.Powers(ledger.Dynamics[dynamics])
	take := slices.Index(n.Beds, p.Bed) + p.Index
	r.over = n.Over(take, powers, n.Sec())
	for _, over := range r.over {
		name := ""
		if at := l.placed(n, over.Take); at >= 0 {
			name = l.placements[at].take
		}
		r.under = append(r.under, name)
	}
	r.sones, r.noteSones = n.Sones(take, powers, n.Sec())
	if len(r.over) == 0 {
		return r
	}
	first := r.over[0].Take
	if at := l.placed(n, first); at >= 0 && l.placements[at].tuned {
		hz := sound.KeyHz(float64(l.placements[at].root)) * n.Cycles[n.Takes[first].Cycle].Ratio
		if cut := n.Cut(first, cutAbove*hz).Listen(powers, n.Sec())[take].SecATurn(); cut >= p.wantedSec {
			r.freedBy, r.freedSec = r.under[0], cut
		}
	}
	return r
}

// placementText says how a take fares in the bed in which it is heard the least.
func (l *listening) placementText(p *placement, places []*placement, r *reason) string {
	dynamics, sec := p.best()
	text := fmt.Sprintf("%s (%s) is not heard in %s", p.take, takes.ContributorName(p.Contributor), path.Base(p.Bed))
	if sec >= 0.05 {
		text = fmt.Sprintf("%s (%s) is heard for %.1f s of each turn in %s, at best, which is at dynamics %d", p.take,
			takes.ContributorName(p.Contributor), sec, path.Base(p.Bed), ledger.Dynamics[dynamics])
	}
	if !math.IsInf(r.lackDB, 0) {
		text += fmt.Sprintf(", and lacks %.0f dB to be heard for %.2g s", r.lackDB, p.wantedSec)
	}
	if len(r.over) > 0 && r.under[0] != "" {
		text += fmt.Sprintf("; on %s %s lies over it from %.0f to %.0f Hz", l.s.names(r.key),
			r.under[0], r.over[0].LowHz, r.over[0].HighHz)
	}
	text += fmt.Sprintf("; it has %.2g of %.2g sones there", r.sones, r.noteSones)
	short := 0
	for _, other := range places {
		if !other.enough() {
			short++
		}
	}
	if short > 1 {
		text += fmt.Sprintf("; in %d of its %d beds it is heard for less than %g s", short, len(places), p.wantedSec)
	}
	return text
}

// cureBuried says what would have a take heard: a gain as far as that does, another take's upper partials, or beds in
// which it is heard.
func (l *listening) cureBuried(p *placement, places []*placement, r *reason) string {
	var cures []string
	if r.lackDB <= mostCureDB {
		cures = append(cures, fmt.Sprintf("takes.csv, gain_db: %+.0f for %s", math.Ceil(max(r.lackDB, 1)), p.take))
	}
	if r.freedBy != "" {
		cures = append(cures, fmt.Sprintf("keep_partials: %d for %s, which frees it for %.0f s",
			keptPartials, r.freedBy, r.freedSec))
	}
	if heardIn := heardMost(places); heardIn != nil && heardIn != p {
		_, sec := heardIn.best()
		cures = append(cures, fmt.Sprintf("bed: %s, in which %s is heard for %.0f s",
			bedCell(heardIn.Bed), p.take, sec))
	}
	if len(cures) == 0 {
		return fmt.Sprintf("takes.csv, key or bed: another register for %s, since level alone is no cure; or use: no",
			p.take)
	}
	text := cures[0]
	for _, cure := range cures[1:] {
		text += "; or " + cure
	}
	return text
}

// heardMost is the one of a take's placements in which it is heard the longest; nil where in none it is long enough.
func heardMost(places []*placement) *placement {
	most := slices.MaxFunc(places, func(a, b *placement) int {
		_, secA := a.best()
		_, secB := b.best()
		return cmp.Compare(secA, secB)
	})
	if !most.enough() {
		return nil
	}
	return most
}

// bedCell is what the column bed calls a bed.
func bedCell(bed string) string {
	name := path.Base(bed)
	return name[:len(name)-len(path.Ext(name))]
}
