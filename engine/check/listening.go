// Listening to keys as they are played, take by take: what all findings on who is heard come from.

package check

import (
	"context"
	"math"
	"os"
	"path/filepath"

	"lapstrake/engine/stream"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/work"
)

// listenTurns is how many of its longest turns a note is listened to: in two, cycles whose turns differ by the square
// root of 2 have met in most ways.
const listenTurns = 2

// placement is one take in one bed.
type placement struct {
	bed, take   string // as the map and the sheet name them
	contributor string
	root        int
	tuned       bool
	wantedSec   float64 // of each turn: what the limit asks, or a quarter of its bed's time if that is less
	// heard is, for each of dynamicsValues, how it fares on each of the bed's keys.
	heard [][]heardOn
}

// heardOn is how a placement fares on one key.
type heardOn struct {
	key    int
	share  float64 // of the time of its bed
	sec    float64 // of each turn
	lackDB float64 // for as long as the limit asks
}

// Of short beds and turns, limits in seconds ask for no more than these parts.
const (
	partOfBed  = 1.0 / 4
	partOfTurn = 1.0 / 2
)

// listening is what the check knows of a map's takes.
type listening struct {
	s          *subject
	turnSec    float64                // of the shortest cycle at its root
	stems      map[string]*beds.Stems // by bed
	courses    map[string][]*hearing.Course
	unknown    []string // beds that a build made without keeping their courses
	placements []placement
	at         map[string]int                 // of a bed's first take in placements
	longest    map[string][]contributorLength // by contributor
}

// contributorLength is for how long some contributor is heard on a key.
type contributorLength struct {
	sec           float64 // of the longest turn
	key, dynamics int
}

// newListening reads the stems of the map's beds. Beds that no build made, or that were edited since, sound as one
// nameless take each; nil where no bed's takes are known.
func (s *subject) newListening(ctx context.Context) (*listening, error) {
	if err := s.hash(ctx); err != nil {
		return nil, err
	}
	paths := s.m.BedPaths()
	all, err := beds.ReadStems(filepath.Dir(s.MapPath), paths)
	if err != nil {
		return nil, err
	}
	l := &listening{s: s, turnSec: math.Inf(1), stems: map[string]*beds.Stems{}, at: map[string]int{},
		courses: map[string][]*hearing.Course{}, longest: map[string][]contributorLength{}}
	built := false
	var whole []string
	for i := range all {
		bed := &all[i]
		l.stems[bed.Bed] = bed
		built = built || bed.Built
		if bed.Courses != nil {
			l.courses[bed.Bed] = bed.Courses
			continue
		}
		whole = append(whole, bed.Bed)
		if bed.Built {
			l.unknown = append(l.unknown, bed.Bed)
		}
	}
	if !built {
		return nil, nil
	}
	if err := l.measureWhole(ctx, whole); err != nil {
		return nil, err
	}
	l.listPlacements()
	return l, nil
}

// measureWhole measures the courses of whole beds.
func (l *listening) measureWhole(ctx context.Context, paths []string) error {
	courses := make([]*hearing.Course, len(paths))
	err := work.Each(ctx, len(paths), func(_ context.Context, i int) (err error) {
		courses[i], err = cached(l.s.cache, "course of bed "+l.s.hashes[paths[i]], func() (*hearing.Course, error) {
			return l.measureBed(paths[i])
		})
		return err
	})
	for i, path := range paths {
		l.courses[path] = []*hearing.Course{courses[i]}
	}
	return err
}

// measureBed reads a whole bed.
func (l *listening) measureBed(path string) (*hearing.Course, error) {
	root, err := os.OpenRoot(filepath.Dir(l.s.MapPath))
	if err != nil {
		return nil, err
	}
	defer root.Close()
	bed, err := stream.OpenBed(root, path)
	if err != nil {
		return nil, err
	}
	defer bed.Close()
	frames := make([]float32, 2*bed.Frames())
	if err := bed.ReadStereo(frames, 0); err != nil {
		return nil, err
	}
	left, right := make([]float32, bed.Frames()), make([]float32, bed.Frames())
	for i := range left {
		left[i], right[i] = frames[2*i], frames[2*i+1]
	}
	return hearing.NewMeasurer(bed.RateHz()).Course(left, right, nil), nil
}

// listPlacements lists all takes of all beds whose takes are known.
func (l *listening) listPlacements() {
	for z, zone := range l.s.m.Zones {
		for i, layer := range l.s.m.Layers {
			cycle := l.s.cycle(z, i)
			l.turnSec = min(l.turnSec, cycle.Seconds(0))
			for b, stretch := range cycle.Stretches() {
				path := zone.Beds[layer][b]
				stems := l.stems[path]
				if _, listed := l.at[path]; listed || stems.Courses == nil {
					continue
				}
				bedSec := float64(stretch.To-stretch.From) / float64(cycle.RateHz)
				l.at[path] = len(l.placements)
				for i, take := range stems.Takes {
					l.placements = append(l.placements, placement{
						bed: path, take: takes.TakeName(take.Path, take.Stretch), contributor: stems.Contributors[i],
						root: zone.Root, tuned: take.Move != nil,
						wantedSec: min(l.s.limits.HeardSec[0], partOfBed*bedSec),
						heard:     make([][]heardOn, len(dynamicsValues)),
					})
				}
			}
		}
	}
}

// keyNote is a key as it is played.
type keyNote struct {
	*hearing.Note
	layers []int     // of each cycle
	shares []float64 // gain of each cycle's zone at the key
	beds   []string  // of each take of the note
}

// note makes a key ready for listening.
func (l *listening) note(key int) *keyNote {
	m := l.s.m
	n := &keyNote{}
	var cycles []hearing.Cycle
	for _, i := range m.ZonesAt(key) {
		zone := &m.Zones[i]
		for layer, name := range m.Layers {
			cycle := l.s.cycle(i, layer)
			c := hearing.Cycle{
				OverlapSec: m.OverlapSec, StartTurns: m.Start(zone, key, 0),
				Ratio: math.Exp2(m.ShiftSemitones(zone, key) / 12),
			}
			for b, stretch := range cycle.Stretches() {
				bed := hearing.Bed{Sec: float64(stretch.To-stretch.From)/float64(cycle.RateHz) + m.OverlapSec}
				bed.Takes = l.courses[zone.Beds[name][b]]
				for range bed.Takes {
					n.beds = append(n.beds, zone.Beds[name][b])
				}
				c.Beds = append(c.Beds, bed)
			}
			cycles, n.layers = append(cycles, c), append(n.layers, layer)
			n.shares = append(n.shares, m.ZoneGain(zone, key))
		}
	}
	n.Note = hearing.NewNote(cycles)
	return n
}

// powers are those of a note's cycles at a place of the dynamics.
func (l *listening) powers(n *keyNote, dynamics int) []float64 {
	gains := make([]float64, len(l.s.m.Layers))
	l.s.m.LayerGains(float64(dynamics)/127, gains)
	powers := make([]float64, len(n.layers))
	for i, layer := range n.layers {
		gain := gains[layer] * n.shares[i]
		powers[i] = gain * gain
	}
	return powers
}

// sec is for how long a note is listened to.
func (n *keyNote) sec() float64 { return listenTurns * n.LongestTurnSec() }

// placed is the place in placements of a take of a note; -1 for a bed whose takes are not known.
func (l *listening) placed(n *keyNote, take int) int {
	first, known := l.at[n.beds[take]]
	if !known {
		return -1
	}
	return first + n.Takes[take].Take
}

// listen plays all keys at all places of the dynamics.
func (l *listening) listen(ctx context.Context) error {
	s := l.s
	keys := make([]keyHeard, s.highest-s.lowest+1)
	tally := work.NewTally(float64(len(keys)), s.progress)
	err := work.Each(ctx, len(keys), func(_ context.Context, i int) error {
		defer tally.Add(1)
		keys[i] = l.listenToKey(s.lowest + i)
		return nil
	})
	if err != nil {
		return err
	}
	for i, key := range keys {
		for dynamics := range dynamicsValues {
			for at, heard := range key.placements[dynamics] {
				p := &l.placements[at]
				p.heard[dynamics] = append(p.heard[dynamics], heard)
			}
			for name, sec := range key.contributors[dynamics] {
				l.longest[name] = append(l.longest[name],
					contributorLength{sec, s.lowest + i, dynamicsValues[dynamics]})
			}
		}
	}
	return nil
}

// keyHeard is how everybody fares on one key, for each of dynamicsValues.
type keyHeard struct {
	placements   []map[int]heardOn
	contributors []map[string]float64 // s of the longest turn
}

func (l *listening) listenToKey(key int) (k keyHeard) {
	n := l.note(key)
	for _, dynamics := range dynamicsValues {
		placements, steps := map[int]heardOn{}, map[string]map[int]bool{}
		for take, moments := range n.Listen(l.powers(n, dynamics), n.sec()) {
			at := l.placed(n, take)
			if at < 0 || l.s.silentLayer(n.layers[n.Takes[take].Cycle], dynamics) {
				continue
			}
			placements[at] = heardOn{key, moments.Share(), moments.SecATurn(),
				moments.LackFor(l.placements[at].wantedSec)}
			name := l.placements[at].contributor
			if steps[name] == nil {
				steps[name] = map[int]bool{}
			}
			for i, lack := range moments.LackDB {
				if lack <= 0 {
					steps[name][moments.Steps[i]] = true
				}
			}
		}
		contributors := map[string]float64{}
		for name, heard := range steps {
			contributors[name] = float64(len(heard)) * hearing.StepSec / listenTurns
		}
		k.placements, k.contributors = append(k.placements, placements), append(k.contributors, contributors)
	}
	return k
}

// silentLayer says whether a layer does not sound at a place of the dynamics.
func (s *subject) silentLayer(layer, dynamics int) bool {
	gains := make([]float64, len(s.m.Layers))
	s.m.LayerGains(float64(dynamics)/127, gains)
	return gains[layer] == 0
}
