// "Play it": a finding is heard.

package page

import (
	"context"
	"errors"
	"math"
	"slices"
	"time"

	"lapstrake/engine"
	"lapstrake/engine/check"
	"lapstrake/engine/live"
	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
)

// playingTold says which finding is heard now.
type playingTold struct {
	Finding string `json:"finding"`         // "" for none any more
	Ready   bool   `json:"ready"`           // it sounds; before that it is being rendered
	Error   string `json:"error,omitempty"` // why it cannot be heard
}

// playFinding plays what a finding is about. What keys do is struck on the engine as it plays now, so that what was
// changed to mend it is heard too. A place in a cycle, or a late moment of a chord, is rendered and sounds in place of
// the music, as a take does.
func (v *visitor) playFinding(ctx context.Context, body []byte) error {
	var m struct {
		Do      string `json:"do"`
		Finding string `json:"finding"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	c := &v.page.checked
	sound := c.begin(m.Finding, v.page.settings.Engine)
	v.stopFinding()
	before := v.findingEnded
	ctx, v.stopFinding = context.WithCancel(ctx)
	v.findingEnded = make(chan struct{})
	ended := v.findingEnded
	v.page.working.Go(func() {
		defer close(ended)
		defer c.end()
		<-before
		play := v.strikeScenes
		if slices.ContainsFunc(sound.Scenes, func(s check.Scene) bool { return !s.FromKeys() }) {
			play = v.renderScenes
		}
		err := errors.New("this cannot be heard, or is not found any more")
		if len(sound.Scenes) > 0 {
			err = play(ctx, m.Finding, sound.Scenes)
		}
		switch {
		case ctx.Err() != nil: // whoever ended it tells what comes now
		case err != nil:
			v.tell("playing", playingTold{Finding: m.Finding, Error: err.Error()})
		default:
			v.tell("playing", playingTold{})
		}
	})
	return nil
}

// begin finds how a finding sounds, and where the dynamics stand before any finding is played.
func (c *checkedWatch) begin(finding string, e *engine.Engine) (sound check.ToHear) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.plays == 0 {
		c.dynamics = byte(math.Round(127 * e.Stats().Dynamics))
	}
	c.plays++
	if c.shown != nil {
		sound = c.shown.Sounds[finding]
	}
	return sound
}

func (c *checkedWatch) end() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.plays--
}

// stop ends what playFinding plays.
func (v *visitor) stop(_ context.Context, body []byte) error {
	var m struct {
		Do string `json:"do"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	v.stopFinding()
	v.tell("playing", playingTold{})
	return nil
}

// strikeScenes strikes the keys of scenes one after the other. The dynamics go back to where they were.
func (v *visitor) strikeScenes(ctx context.Context, finding string, scenes []check.Scene) error {
	input, err := v.page.settings.Arrivals.Open()
	if err != nil {
		return err
	}
	defer input.Close() // which lets go of what it holds
	e, channel := v.page.settings.Engine, v.page.settings.Channel
	m := e.Map()
	push := func(event engine.Event) { input.Push(live.Now(), event.Status|channel, event.Data1, event.Data2) }
	v.page.checked.mu.Lock()
	before := v.page.checked.dynamics
	v.page.checked.mu.Unlock()
	defer func() { push(engine.Control(0, 0, byte(m.Dynamics.Controller), before)) }()
	v.tell("playing", playingTold{Finding: finding, Ready: true})
	for _, scene := range scenes {
		began := time.Now()
		for _, event := range scene.Events(m) {
			due := began.Add(time.Duration(float64(event.Frame) / float64(m.RateHz) * float64(time.Second)))
			if err := rest(ctx, time.Until(due)); err != nil {
				return err
			}
			push(event)
		}
	}
	return nil
}

// renderScenes renders scenes, and plays them in place of the music.
func (v *visitor) renderScenes(ctx context.Context, finding string, scenes []check.Scene) error {
	v.tell("playing", playingTold{Finding: finding})
	sound, err := v.page.renderedScenes(ctx, scenes)
	if err != nil {
		return err
	}
	rateHz := v.page.settings.Engine.Map().RateHz
	stereo := sound.AtRate(rateHz)
	v.ask(ctx, Ask{Kind: AskSound, Stereo: stereo})
	v.tell("playing", playingTold{Finding: finding, Ready: true})
	err = rest(ctx, time.Duration(float64(len(stereo)/2)/float64(rateHz)*float64(time.Second)))
	if err != nil {
		v.ask(v.page.ended, Ask{Kind: AskSound}) // the music again
	}
	return err
}

// renderedScenes renders one visitor's scenes after the other's.
func (p *Page) renderedScenes(ctx context.Context, scenes []check.Scene) (*beds.HeardTake, error) {
	p.checked.rendering.Lock()
	defer p.checked.rendering.Unlock()
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	m, err := mapping.Load(p.settings.MapPath)
	if err != nil {
		return nil, err
	}
	settings, err := project.Load(p.settings.Dir)
	if err != nil {
		return nil, err
	}
	cycles, err := stream.OpenCycles(m, p.settings.Dir, stream.Reduction{})
	if err != nil {
		return nil, err
	}
	defer cycles.Close()
	if slices.ContainsFunc(scenes, func(s check.Scene) bool {
		return s.InCycle && (s.Zone >= len(m.Zones) || s.Layer >= len(m.Layers))
	}) {
		return nil, errors.New("the map has changed: check again")
	}
	stereo, err := check.Sound(ctx, check.Input{MapPath: p.settings.MapPath, Cycles: cycles, Settings: settings},
		scenes)
	if err != nil {
		return nil, err
	}
	sound := &beds.HeardTake{RateHz: m.RateHz}
	for i := 0; i+1 < len(stereo); i += 2 {
		sound.Left, sound.Right = append(sound.Left, stereo[i]), append(sound.Right, stereo[i+1])
	}
	return sound, nil
}

// rest waits, or gives the error of a context that ends meanwhile.
func rest(ctx context.Context, d time.Duration) error {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}
