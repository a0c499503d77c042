// Listening to keys as they are played, take by take: what all findings on who is heard come from.

package check

import (
	"context"
	"os"
	"path/filepath"
	"slices"

	"lapstrake/engine/stream"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/ledger"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/work"
)

// placement is one take in one bed.
type placement struct {
	*ledger.Take
	take      string // as the sheet names it
	root      int
	tuned     bool
	wantedSec float64 // of each turn
}

// Of short turns, the limit in seconds for contributors asks for no more than this part.
const partOfTurn = 1.0 / 2

// listening is what the check knows of a map's takes.
type listening struct {
	*ledger.Instrument
	s            *subject
	turnSec      float64  // of the shortest cycle at its root
	unknown      []string // beds that a build made without keeping their courses
	placements   []placement
	contributors map[string]ledger.Longest
}

// listen plays all keys at all places of the dynamics. Beds that no build made, or that were edited since, sound as
// one nameless take each; nil where no bed's takes are known.
func (s *subject) listen(ctx context.Context) (*listening, error) {
	if err := s.hash(ctx); err != nil {
		return nil, err
	}
	dir := filepath.Dir(s.MapPath)
	stems, err := beds.ReadStems(dir, s.m.BedPaths())
	if err != nil {
		return nil, err
	}
	l := &listening{s: s}
	built := false
	var whole []string
	for i := range stems {
		built = built || stems[i].Built
		if stems[i].Courses == nil {
			whole = append(whole, stems[i].Bed)
			if stems[i].Built {
				l.unknown = append(l.unknown, stems[i].Bed)
			}
		}
	}
	if !built {
		return nil, nil
	}
	if l.Instrument, err = beds.Instrument(dir, s.m, stems); err != nil {
		return nil, err
	}
	if err := l.measureWhole(ctx, whole); err != nil {
		return nil, err
	}
	l.turnSec = s.shortestTurnSec()
	judged, err := l.Judge(ctx, s.progress)
	if err != nil {
		return nil, err
	}
	l.contributors = judged.Contributors
	byPath := map[string]*beds.Stems{}
	for i := range stems {
		byPath[stems[i].Bed] = &stems[i]
	}
	roots := s.roots()
	for i := range judged.Takes {
		t := &judged.Takes[i]
		take := &byPath[t.Bed].Takes[t.Index]
		l.placements = append(l.placements, placement{t, takes.TakeName(take.Path, take.Stretch), roots[t.Bed],
			take.Move != nil, ledger.Wanted(s.limits.HeardSec[0], t.BedSec, s.m.OverlapSec)})
	}
	return l, nil
}

// shortestTurnSec is a turn of the shortest cycle at its root.
func (s *subject) shortestTurnSec() float64 {
	shortest := s.cycle(0, 0).Seconds(0)
	for z := range s.m.Zones {
		for layer := range s.m.Layers {
			shortest = min(shortest, s.cycle(z, layer).Seconds(0))
		}
	}
	return shortest
}

// roots are those from which beds are played, by path.
func (s *subject) roots() map[string]int {
	roots := map[string]int{}
	for _, zone := range s.m.Zones {
		for _, paths := range zone.Beds {
			for _, path := range paths {
				roots[path] = zone.Root
			}
		}
	}
	return roots
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
		bed := l.Beds[path]
		bed.Courses = []*hearing.Course{courses[i]}
		l.Beds[path] = bed
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

// placed is the place in placements of a take of a note; -1 for a bed whose takes are not known.
func (l *listening) placed(n *ledger.Note, take int) int {
	return slices.IndexFunc(l.placements, func(p placement) bool {
		return p.Bed == n.Beds[take] && p.Index == n.Takes[take].Take
	})
}

// silentLayer says whether a layer does not sound at a place of the dynamics.
func (s *subject) silentLayer(layer, dynamics int) bool {
	gains := make([]float64, len(s.m.Layers))
	s.m.LayerGains(float64(dynamics)/127, gains)
	return gains[layer] == 0
}
