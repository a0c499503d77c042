// Chords rendered as the player plays them.

package check

import (
	"context"

	"lapstrake/engine"
	"lapstrake/engine/show"
)

// played is a rendered chord.
type played struct {
	frames      []float32 // interleaved stereo
	reductionDB float64   // the most that the ceiling took off
	voices      int       // that sounded at once, at most
}

// ringSec is about how long keys ring at most once they are let go.
const ringSec = 2

// play renders keys as the player does, at one place of the dynamics.
func (s *subject) play(ctx context.Context, keys []int, dynamicsValue int, sec float64) (*played, error) {
	return s.playWith(ctx, keys, sec, engine.Control(0, 0, byte(s.m.Dynamics.Controller), byte(dynamicsValue)))
}

// playWith renders keys as the player does, with what moves its controllers meanwhile.
func (s *subject) playWith(ctx context.Context, keys []int, sec float64, meanwhile ...engine.Event) (*played, error) {
	return s.playEvents(ctx, show.HoldEvents(keys, 100, int64(sec*float64(s.m.RateHz)), meanwhile...))
}

// playEvents renders events as the player does.
func (s *subject) playEvents(ctx context.Context, events []engine.Event) (*played, error) {
	player, err := engine.Open(s.MapPath, engine.Settings{})
	if err != nil {
		return nil, err
	}
	defer player.Close()
	p := show.Performance{Engine: player, Events: events}
	last := events[len(events)-1].Frame
	out := played{frames: make([]float32, 0, 2*(last+ringSec*int64(s.m.RateHz)))}
	told, err := p.Play(func(frames []float32) error {
		out.frames = append(out.frames, frames...)
		return ctx.Err()
	}, nil)
	out.voices, out.reductionDB = told.MostVoices, player.Stats().MostReductionDB
	return &out, err
}
