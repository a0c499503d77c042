// A mark heard again: rendered from what was kept, and played in place of the music.

package page

import (
	"context"

	"lapstrake/engine"
	"lapstrake/engine/mark"
	"lapstrake/mapping/sound"
)

// markHeldSec is for how long what a mark held sounds on.
const markHeldSec = 5

// hearMarkTold says what is heard of a mark.
type hearMarkTold struct {
	Mark    int          `json:"mark"`
	LeadSec float64      `json:"leadSec"` // from the beginning of the sound to the mark
	Changed mark.Changed `json:"changed"`
	Same    bool         `json:"same"` // it sounds as it did
	Error   string       `json:"error,omitempty"`
}

// hearMark plays a mark from some seconds before its moment.
func (v *visitor) hearMark(ctx context.Context, body []byte) error {
	var m struct {
		Do      string `json:"do"`
		Mark    int    `json:"mark"`
		LeadSec int    `json:"leadSec"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	if err := within("leadSec", m.LeadSec, 0, mark.KeptSec); err != nil {
		return err
	}
	return v.page.atDesk(func() {
		told := hearMarkTold{Mark: m.Mark}
		stereo, err := v.page.markSound(&told, float64(m.LeadSec))
		if err != nil {
			told.Error = err.Error()
		} else {
			v.ask(ctx, Ask{Kind: AskSound, Stereo: stereo})
		}
		v.tell("heardmark", told)
	})
}

// markSound renders a mark, at the player's rate.
func (p *Page) markSound(told *hearMarkTold, leadSec float64) ([]float32, error) {
	m, err := mark.Read(p.settings.Dir, told.Mark)
	if err != nil {
		return nil, err
	}
	if told.Changed, err = m.Changed(p.settings.Dir); err != nil {
		return nil, err
	}
	told.Same = told.Changed.Sounds()
	player, err := m.Open(p.settings.Dir, engine.DefaultMemoryBytes)
	if err != nil {
		return nil, err
	}
	defer player.Close()
	again := m.Performance(player, leadSec, markHeldSec)
	told.LeadSec = m.LeadSec(again)
	var left, right []float32
	_, err = again.Play(func(frames []float32) error {
		for i := 0; i < len(frames); i += 2 {
			left, right = append(left, frames[i]), append(right, frames[i+1])
		}
		return p.ended.Err()
	}, nil)
	if err != nil {
		return nil, err
	}
	channels := [][]float32{left, right}
	if from, to := player.Map().RateHz, p.settings.Engine.Map().RateHz; from != to {
		sound.Resample(channels, float64(to)/float64(from))
	}
	stereo := make([]float32, 2*len(channels[0]))
	for i, x := range channels[0] {
		stereo[2*i], stereo[2*i+1] = x, channels[1][i]
	}
	return stereo, nil
}
