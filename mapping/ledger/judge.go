// Judging: all keys are played at all places of the dynamics.

package ledger

import (
	"context"
	"math"
	"slices"

	"lapstrake/mapping"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/work"
)

// Ledger tells how everybody fares.
type Ledger struct {
	Takes        []Take             // bed by bed in the map's order
	Contributors map[string]Longest // by name; "" are those without one
}

// Take is how one take fares in one bed.
type Take struct {
	Bed         string // path
	Index       int    // of the take in the bed
	Contributor string
	BedSec      float64
	Fares       [len(Dynamics)]Fare
}

// Fare is how a take fares at a place of the dynamics.
type Fare struct {
	Keys      []OnKey // those on which it sounds, lowest first
	Stretches []Stretch
}

// OnKey is how a take fares on one key.
type OnKey struct {
	Key   int
	Share float64 // of the time of its bed in which it stands out
	Sec   float64 // of each turn
	lacks []float32
	bed   float64 // s of each turn that the bed carries
}

// Stretch is a part of a bed, in its own time, in which a take stands out at half of the moments or more, over all
// keys and turns.
type Stretch struct {
	FromSec float64 `json:"from_s"`
	ToSec   float64 `json:"to_s"`
	ByDB    float64 `json:"by_db"` // more than it would need, as the mean where it stands out
}

// Longest is where a contributor is heard the longest.
type Longest struct {
	Sec           float64 // of the longest turn
	Key, Dynamics int
}

// Of short beds, what is asked for in seconds is no more than this part of them.
const partOfBed = 1.0 / 4

// Wanted is for how long of each turn a take of a bed is to be heard where sec is asked for.
func Wanted(sec, bedSec, overlapSec float64) float64 { return min(sec, partOfBed*(bedSec-overlapSec)) }

// LackDB is how many dB louder the take alone would have to be to be heard for so many seconds of each turn.
func (o *OnKey) LackDB(sec float64) float64 {
	return (&hearing.Moments{LackDB: o.lacks, BedSec: o.bed}).LackFor(sec)
}

// Sec is for how long of each turn the take is heard: the mean over the keys.
func (f *Fare) Sec() float64 { return f.mean(func(on *OnKey) float64 { return on.Sec }) }

// Share is the part of its bed's time in which it is heard.
func (f *Fare) Share() float64 { return f.mean(func(on *OnKey) float64 { return on.Share }) }

// LackDB is how many dB louder it would have to be to be heard for so many seconds.
func (f *Fare) LackDB(sec float64) float64 {
	return f.mean(func(on *OnKey) float64 { return on.LackDB(sec) })
}

func (f *Fare) mean(of func(*OnKey) float64) float64 {
	sum := 0.0
	for i := range f.Keys {
		sum += of(&f.Keys[i])
	}
	return sum / max(float64(len(f.Keys)), 1)
}

// Judge plays all keys of an instrument. progress is called with 0 to 1; it may be nil.
func (in *Instrument) Judge(ctx context.Context, progress func(float64)) (*Ledger, error) {
	low, high := in.keys()
	heard := make([]*keyHeard, max(high-low+1, 0))
	tally := work.NewTally(float64(len(heard)), progress)
	err := work.Each(ctx, len(heard), func(_ context.Context, i int) error {
		defer tally.Add(1)
		heard[i] = in.listen(low + i)
		return nil
	})
	if err != nil {
		return nil, err
	}
	return in.sum(heard), nil
}

// keys are the lowest and the highest that may sound.
func (in *Instrument) keys() (low, high int) {
	low, high = mapping.HighestKey, 0
	for key := range mapping.HighestKey + 1 {
		if len(in.Map.ZonesAt(key)) > 0 {
			low, high = min(low, key), max(high, key)
		}
	}
	return low, high
}

// place is a take in a bed.
type place struct {
	bed  string
	take int
}

// keyHeard is how everybody fares on one key.
type keyHeard struct {
	key          int
	places       [len(Dynamics)]map[place]*placeHeard
	contributors [len(Dynamics)]map[string]float64 // s of the longest turn
}

// placeHeard is how a take fares on one key: as a whole, and by the blocks of its bed.
type placeHeard struct {
	OnKey
	blocks []blockHeard
}

// blockHeard counts the moments at which a block sounded, and sums up by how much the take stood out at them.
type blockHeard struct {
	moments, heard int
	byDB           float64
}

// listen plays a key.
func (in *Instrument) listen(key int) *keyHeard {
	k := &keyHeard{key: key}
	n := in.Note(key)
	for d, dynamics := range Dynamics {
		k.places[d], k.contributors[d] = map[place]*placeHeard{}, map[string]float64{}
		powers, steps := n.Powers(dynamics), map[string]map[int]bool{}
		for i, moments := range n.Listen(powers, n.Sec()) {
			take := &n.Takes[i]
			bed := in.Beds[n.Beds[i]]
			if bed.Contributors == nil || powers[take.Cycle] == 0 {
				continue
			}
			at := place{n.Beds[i], take.Take}
			// A bed that sounds twice on a key is told by the first of its places.
			if k.places[d][at] == nil {
				k.places[d][at] = fareOf(key, &moments)
			}
			name := bed.Contributors[take.Take]
			if steps[name] == nil {
				steps[name] = map[int]bool{}
			}
			for m, lack := range moments.LackDB {
				if lack <= 0 {
					steps[name][moments.Steps[m]] = true
				}
			}
		}
		for name, heard := range steps {
			k.contributors[d][name] = float64(len(heard)) * hearing.StepSec / listenTurns
		}
	}
	return k
}

func fareOf(key int, m *hearing.Moments) *placeHeard {
	p := &placeHeard{OnKey: OnKey{key, m.Share(), m.SecATurn(), m.LackDB, m.BedSec}}
	for i, block := range m.Blocks {
		for len(p.blocks) <= block {
			p.blocks = append(p.blocks, blockHeard{})
		}
		b := &p.blocks[block]
		b.moments++
		if lack := float64(m.LackDB[i]); lack <= 0 {
			b.heard++
			b.byDB -= lack
		}
	}
	return p
}

// sum puts the keys together.
func (in *Instrument) sum(heard []*keyHeard) *Ledger {
	l := &Ledger{Contributors: map[string]Longest{}}
	for _, path := range in.Map.BedPaths() {
		bed := in.Beds[path]
		for i, name := range bed.Contributors {
			t := Take{Bed: path, Index: i, Contributor: name, BedSec: bed.Sec}
			for d := range Dynamics {
				var blocks []blockHeard
				for _, k := range heard {
					p := k.places[d][place{path, i}]
					if p == nil {
						continue
					}
					t.Fares[d].Keys = append(t.Fares[d].Keys, p.OnKey)
					for len(blocks) < len(p.blocks) {
						blocks = append(blocks, blockHeard{})
					}
					for b, at := range p.blocks {
						blocks[b].moments += at.moments
						blocks[b].heard += at.heard
						blocks[b].byDB += at.byDB
					}
				}
				t.Fares[d].Stretches = stretches(blocks, bed.Sec)
			}
			l.Takes = append(l.Takes, t)
		}
	}
	for _, k := range heard {
		for d, seconds := range k.contributors {
			for name, sec := range seconds {
				if longest, known := l.Contributors[name]; !known || sec > longest.Sec {
					l.Contributors[name] = Longest{sec, k.key, Dynamics[d]}
				}
			}
		}
	}
	return l
}

// stretches joins blocks in which a take stands out at half of the moments.
func stretches(blocks []blockHeard, bedSec float64) (all []Stretch) {
	heard, byDB := 0, 0.0
	for i, b := range blocks {
		stands := b.heard > 0 && 2*b.heard >= b.moments
		if stands {
			if heard == 0 {
				all = append(all, Stretch{FromSec: float64(i) * hearing.BlockSec})
			}
			heard, byDB = heard+b.heard, byDB+b.byDB
			last := &all[len(all)-1]
			last.ToSec, last.ByDB = min(float64(i+1)*hearing.BlockSec, bedSec), byDB/float64(heard)
		} else {
			heard, byDB = 0, 0
		}
	}
	return all
}

// Best is the place of the dynamics, as an index of Dynamics, at which the take is heard the longest or, where it is
// nowhere heard, lacks the least to be heard for wantedSec; and for how long it is heard there.
func (t *Take) Best(wantedSec float64) (dynamics int, sec float64) {
	dynamics = -1
	least := math.Inf(1)
	for d := range t.Fares {
		f := &t.Fares[d]
		if len(f.Keys) == 0 {
			continue
		}
		now, lacks := f.Sec(), f.LackDB(wantedSec)
		if dynamics < 0 || now > sec || now == sec && lacks < least {
			dynamics, sec, least = d, now, lacks
		}
	}
	return max(dynamics, 0), sec
}

// Of is the take of a bed; nil where the ledger has none.
func (l *Ledger) Of(bed string, index int) *Take {
	at := slices.IndexFunc(l.Takes, func(t Take) bool { return t.Bed == bed && t.Index == index })
	if at < 0 {
		return nil
	}
	return &l.Takes[at]
}
