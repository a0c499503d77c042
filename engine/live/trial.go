// Trial: zones nudged while they play, step by step, taken back, and kept in the map's file.

package live

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

// mostSteps is how many steps can be taken back.
const mostSteps = 500

const (
	lockPause = 100 * time.Millisecond
	lockTries = 300 // a build takes a while
)

// Trial is what is tried on the zones of an engine's maps. Any goroutine but the audio thread.
type Trial struct {
	engine *engine.Engine

	mu    sync.Mutex
	steps []trialStep // the newest last
	moves bool        // the newest goes on: a slider is on its way
}

// trialStep is one nudge, as it was before.
type trialStep struct {
	path   string // of the map
	zone   mapping.ZoneName
	before mapping.Nudge
}

// NewTrial tries nothing yet.
func NewTrial(e *engine.Engine) *Trial { return &Trial{engine: e} }

// Move nudges a zone of the map that plays. Moves of one zone up to a settled one are taken back together.
func (t *Trial) Move(zone mapping.ZoneName, to mapping.Nudge, settled bool) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	step, err := t.nudge(zone, to)
	if err != nil {
		return err
	}
	last := len(t.steps) - 1
	if !t.moves || last < 0 || t.steps[last].zone != zone || t.steps[last].path != step.path {
		t.steps = append(t.steps, step)
		if len(t.steps) > mostSteps {
			t.steps = slices.Delete(t.steps, 0, 1)
		}
	}
	t.moves = !settled
	return nil
}

// Undo takes back the newest step on the map that plays, a kept one too. The file stays as it is until Keep.
func (t *Trial) Undo() (zone mapping.ZoneName, err error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	path := t.engine.PlayingPath()
	for at, step := range slices.Backward(t.steps) {
		if step.path != path {
			continue
		}
		t.steps = slices.Delete(t.steps, at, at+1) // one that cannot be taken back will not be later either
		t.moves = false
		_, err := t.nudge(step.zone, step.before)
		return step.zone, err
	}
	return zone, errors.New("nothing was nudged that could be taken back")
}

// Steps is how many can be taken back.
func (t *Trial) Steps() int {
	t.mu.Lock()
	defer t.mu.Unlock()
	return len(t.steps)
}

// nudge has the engine play a zone nudged, and tells how it was.
func (t *Trial) nudge(zone mapping.ZoneName, to mapping.Nudge) (trialStep, error) {
	loaded, now := t.engine.Loaded(), t.engine.Map()
	at, in := now.ZoneNamed(zone), loaded.ZoneNamed(zone)
	if at < 0 || in < 0 {
		return trialStep{}, fmt.Errorf("rank %s, root %d: the map that plays has no such zone, or several", zone.Rank,
			zone.Root)
	}
	nudges := t.engine.Nudges()
	if nudges == nil {
		nudges = map[mapping.ZoneName]mapping.Nudge{}
	}
	if nudges[zone] = to; to == loaded.Zones[in].Nudge() {
		delete(nudges, zone)
	}
	return trialStep{t.engine.PlayingPath(), zone, now.Zones[at].Nudge()}, t.engine.Nudge(nudges)
}

// Keep writes what is tried into the file of the map that plays, once no command works on the project, unless ctx ends
// first. How many zones it wrote it tells. Nothing is written where the file has become another one in the lines that
// would change (*mapping.ChangedMeanwhileError).
func (t *Trial) Keep(ctx context.Context) (zones int, err error) {
	path := t.engine.PlayingPath()
	release, err := lockProject(ctx, filepath.Dir(path))
	if err != nil {
		return 0, err
	}
	defer release()
	t.mu.Lock()
	defer t.mu.Unlock()
	nudges := t.engine.Nudges()
	if t.engine.PlayingPath() != path || len(nudges) == 0 {
		return 0, errors.New("nothing is tried on this map that could be kept")
	}
	if err := mapping.KeepNudges(path, t.engine.Loaded(), nudges); err != nil {
		return 0, err
	}
	t.engine.Kept()
	return len(nudges), nil
}

// lockProject waits while another command works on the project.
func lockProject(ctx context.Context, dir string) (release func(), err error) {
	for range lockTries {
		release, err = project.Lock(dir, "play")
		if inUse := (*project.InUseError)(nil); !errors.As(err, &inUse) {
			return release, err
		}
		select {
		case <-ctx.Done():
			return nil, err
		case <-time.After(lockPause):
		}
	}
	return nil, err
}
