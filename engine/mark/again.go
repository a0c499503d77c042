// Hearing a mark again, and what has changed since.

package mark

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"lapstrake/engine"
	"lapstrake/engine/show"
	"lapstrake/mapping"
	"lapstrake/mapping/takes/decode"
	"lapstrake/voices"
)

// Open opens the beds in the project folder dir under the map as it was played, and begins where the mark does.
func (m *Mark) Open(dir string, memoryBytes int64) (*engine.Engine, error) {
	played, err := m.PlayedMap()
	if err != nil {
		return nil, err
	}
	quality, err := voices.ParseQuality(m.Quality)
	if err != nil {
		return nil, err
	}
	e, err := engine.OpenMap(played, dir, engine.Settings{Quality: quality, Channel: m.Channel, Apart: m.Apart,
		MemoryBytes: memoryBytes})
	if err != nil {
		return nil, err
	}
	if err := e.Begin(&m.Begin); err != nil {
		e.Close()
		return nil, fmt.Errorf("%s: begin: %w", Path(dir, m.Number), err)
	}
	return e, nil
}

// Performance plays a mark on its engine: from leadSec before its moment, or from as far back as is known, then for
// heldSec what was held, which is then let go.
func (m *Mark) Performance(e *engine.Engine, leadSec, heldSec float64) show.Performance {
	rateHz := float64(e.Map().RateHz)
	p := show.Performance{
		Engine: e, BeganFrame: m.Begin.Frame, FromFrame: max(m.Frame-int64(leadSec*rateHz), m.Begin.Frame),
		TailSec: 2*e.Map().ReleaseSec + 0.1,
	}
	for _, event := range m.Events {
		p.Events = append(p.Events, event.played())
	}
	p.Events = show.LetGo(p.Events, m.Frame+int64(heldSec*rateHz))
	return p
}

// LeadSec is how long before the mark its performance begins.
func (m *Mark) LeadSec(p show.Performance) float64 {
	return float64(m.Frame-p.FromFrame) / float64(p.Engine.Map().RateHz)
}

// Changed is what differs since the mark.
type Changed struct {
	Beds    []string `json:"beds"`    // of those that sounded: other ones now
	Missing []string `json:"missing"` // of those that sounded: not there any more
	Map     []string `json:"map"`     // fields, such as "headroom 12 → 18 dB"; it sounds by the map as it was played
	LeftOut int      `json:"left_out"`
}

// Sounds says whether the mark sounds as it did: only the beds matter, and that all notes were kept.
func (c *Changed) Sounds() bool { return len(c.Beds)+len(c.Missing)+c.LeftOut == 0 }

// Changed compares with the project in dir as it is now. A map that cannot be read is told as a difference.
func (m *Mark) Changed(dir string) (Changed, error) {
	c := Changed{Beds: []string{}, Missing: []string{}, Map: []string{}, LeftOut: m.LeftOut}
	for _, b := range m.Beds {
		switch hash, err := decode.Hash(filepath.Join(dir, filepath.FromSlash(b.Path))); {
		case errors.Is(err, fs.ErrNotExist):
			c.Missing = append(c.Missing, b.Path)
		case err != nil:
			return c, err
		case hash != b.Hash:
			c.Beds = append(c.Beds, b.Path)
		}
	}
	then, err := m.PlayedMap()
	if err != nil {
		return c, err
	}
	now, err := mapping.Load(filepath.Join(dir, mapping.FileName))
	if err != nil {
		c.Map = append(c.Map, err.Error())
		return c, nil
	}
	now.RateHz = then.RateHz // the output's
	c.Map = append(c.Map, mapping.Differences(then, now)...)
	return c, nil
}
