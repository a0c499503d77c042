// A take listened to within its bed while the engine plays it: alone, before the rest, or silent.

package page

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"

	"lapstrake/engine/stream"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/sound"
)

// Ways to listen to a take within its bed.
const (
	apartAlone  = "alone"  // the bed without the others
	apartBefore = "before" // the others restDB down
	apartSilent = "silent" // the bed without the take
)

// restDB is how far the rest of a bed goes down before a take.
const restDB = -18

// mostApart bounds the memory for beds that are listened into: each holds some seconds.
const mostApart = 8

// apartTold is a bed that is listened into.
type apartTold struct {
	Bed     string  `json:"bed"`
	Take    string  `json:"take"`
	How     string  `json:"how"`
	Matched bool    `json:"matched"` // as loud as the whole bed
	GainDB  float64 `json:"gainDB"`  // for that
	Working bool    `json:"working"` // it is still being told apart
	Error   string  `json:"error,omitempty"`
}

// apartBeds are those that are listened into.
type apartBeds struct {
	mu     sync.Mutex
	told   map[string]apartTold // by bed
	mixes  map[string]stream.Bed
	wanted map[string]int // newest wish, by bed: older ones are out of date
	count  int

	lastOf string // bed and take of the last one that was told apart, at the desk
	last   *beds.Apart
}

// apart listens to a take within a bed, or lets the whole bed sound again.
func (v *visitor) apart(_ context.Context, body []byte) error {
	var m struct {
		Do      string `json:"do"`
		Take    string `json:"take"`
		Bed     string `json:"bed"`
		How     string `json:"how"` // "": the whole bed
		Matched bool   `json:"matched"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	p := v.page
	if p.settings.Engine.Side() > 0 {
		return errors.New("takes are told apart in the map that play was told first: exchange the two")
	}
	if !slices.Contains(p.settings.Engine.Map().BedPaths(), m.Bed) {
		return fmt.Errorf("%.60q is no bed of the map that plays", m.Bed)
	}
	if m.How != "" && !slices.Contains([]string{apartAlone, apartBefore, apartSilent}, m.How) {
		return fmt.Errorf("%.20q: expected %s, %s or %s", m.How, apartAlone, apartBefore, apartSilent)
	}
	told := apartTold{Bed: m.Bed, Take: m.Take, How: m.How, Matched: m.Matched, Working: true}
	wish, err := p.aparts.want(told)
	if err != nil {
		return err
	}
	p.tellAparts()
	return p.atDesk(func() { p.tellApart(told, wish) })
}

// want notes what is wished of a bed.
func (a *apartBeds) want(told apartTold) (wish int, err error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.told == nil {
		a.told, a.mixes, a.wanted = map[string]apartTold{}, map[string]stream.Bed{}, map[string]int{}
	}
	if _, there := a.told[told.Bed]; !there && told.How != "" && len(a.told) >= mostApart {
		return 0, fmt.Errorf("%d beds are listened into already: let one of them sound whole first", mostApart)
	}
	a.count++
	a.wanted[told.Bed] = a.count
	if told.How != "" {
		a.told[told.Bed] = told
	}
	return a.count, nil
}

// tellApart makes the mix and has the engine play it. Desk.
func (p *Page) tellApart(told apartTold, wish int) {
	a := &p.aparts
	a.mu.Lock()
	isNewest := a.wanted[told.Bed] == wish
	a.mu.Unlock()
	if !isNewest {
		return
	}
	told.Working = false
	var mix stream.Bed
	if told.How != "" {
		var err error
		if mix, told.GainDB, err = a.mix(p.settings.Dir, &told); err != nil {
			told.Error = err.Error()
		}
	}
	a.mu.Lock()
	defer func() {
		a.mu.Unlock()
		p.tellAparts()
	}()
	if a.wanted[told.Bed] != wish {
		return
	}
	delete(a.told, told.Bed)
	delete(a.mixes, told.Bed)
	if told.How != "" {
		a.told[told.Bed] = told
	}
	if mix != nil {
		a.mixes[told.Bed] = mix
	}
	if err := p.settings.Engine.Instead(a.mixes); err != nil {
		told.Error = err.Error()
		delete(a.mixes, told.Bed)
		a.told[told.Bed] = told
	}
}

// mix is a bed as it is listened into. Desk.
func (a *apartBeds) mix(dir string, told *apartTold) (stream.Bed, float64, error) {
	of := told.Bed + "\n" + told.Take
	if a.lastOf != of {
		apart, err := beds.TellApart(dir, told.Take, told.Bed)
		if err != nil {
			return nil, 0, err
		}
		a.last, a.lastOf = apart, of
	}
	takeGain, restGain := 1.0, 0.0
	switch told.How {
	case apartBefore:
		restGain = sound.DBToAmplitude(restDB)
	case apartSilent:
		takeGain, restGain = 0, 1
	}
	stereo, gainDB := a.last.Mix(takeGain, restGain, told.Matched)
	return stream.NewMemoryBed(told.Bed, stereo, a.last.Take.RateHz), gainDB, nil
}

// wholeAgain lets all beds sound whole.
func (p *Page) wholeAgain() {
	a := &p.aparts
	a.mu.Lock()
	paths := slices.Collect(maps.Keys(a.told))
	a.mu.Unlock()
	for _, bed := range paths {
		told := apartTold{Bed: bed}
		if wish, err := a.want(told); err == nil {
			p.atDesk(func() { p.tellApart(told, wish) }) // else so much waits that it will be asked for again
		}
	}
}

// lookAparts forgets the beds that the engine plays whole again, since their map was loaded anew.
func (p *Page) lookAparts() {
	a := &p.aparts
	a.mu.Lock()
	replaced := p.settings.Engine.Replaced()
	for bed := range a.mixes {
		if !slices.Contains(replaced, bed) {
			delete(a.mixes, bed)
			delete(a.told, bed)
		}
	}
	a.mu.Unlock()
}

// tellAparts tells all visitors which beds are listened into.
func (p *Page) tellAparts() {
	a := &p.aparts
	a.mu.Lock()
	told := []apartTold{}
	for _, bed := range slices.Sorted(maps.Keys(a.told)) {
		told = append(told, a.told[bed])
	}
	a.mu.Unlock()
	p.Tell("aparts", told)
}
