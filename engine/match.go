// Two maps made equally loud: by a fixed chord that is rendered from each.

package engine

import (
	"math"

	"lapstrake/mapping/sound"
)

// The chord: common tones of a keyboard's middle, struck as a hand does, for as long as a bed lasts.
var matchKeys = []byte{48, 55, 64, 71}

const (
	matchVelocity = 100
	matchDynamics = 64
	matchSec      = 24
	matchBlock    = 256

	unreachedDBTP = 200
)

// measureLoudness renders the chord from the instrument's beds and keeps its integrated loudness, −Inf where it is
// silent.
func (in *instrument) measureLoudness(s Settings) error {
	s.Applied, s.Opened, s.Channel, s.Apart = nil, nil, 0, false
	alone, err := newInstrument(in.cycles, s)
	if err != nil {
		return err
	}
	e, err := newEngine(alone, "", s)
	if err != nil {
		return err
	}
	defer e.reader.Close()
	m := in.cycles.Map
	e.ceiling = NewCeiling(m.RateHz, unreachedDBTP) // what it takes off depends on the music
	events := []Event{Control(0, 0, byte(m.Dynamics.Controller), matchDynamics)}
	for _, key := range matchKeys {
		events = append(events, NoteOn(0, 0, key, matchVelocity))
	}
	list := NewList(events)
	meter := sound.NewMeter(m.RateHz, sound.StereoWeights)
	block := make([]float32, 2*matchBlock)
	left, right := make([]float32, matchBlock), make([]float32, matchBlock)
	for range matchSec * m.RateHz / matchBlock {
		e.Fill()
		e.Render(block, list)
		for i := range left {
			left[i], right[i] = block[2*i], block[2*i+1]
		}
		meter.Add(left, right)
	}
	in.loudnessLUFS = meter.IntegratedLUFS()
	return e.ReadError()
}

// match turns the louder side down.
func (e *Engine) match() {
	if len(e.sides) < 2 {
		return
	}
	for i := range e.sides {
		overLU := e.sides[i].now.loudnessLUFS - e.sides[1-i].now.loudnessLUFS
		gain := 1.0
		if overLU > 0 && !math.IsInf(overLU, 0) {
			gain = sound.DBToAmplitude(-overLU)
		}
		e.sides[i].now.trim.Store(math.Float32bits(float32(gain)))
	}
}

// TrimsDB tells by how many decibels each of two maps is turned down, so that both are equally loud: one of them 0.
// With one map it is 0 alone. Not for the audio thread.
func (e *Engine) TrimsDB() (trimsDB []float64) {
	e.changing.Lock()
	defer e.changing.Unlock()
	for i := range e.sides {
		gain := float64(math.Float32frombits(e.sides[i].now.trim.Load()))
		trimsDB = append(trimsDB, 0-sound.AmplitudeDB(gain))
	}
	return trimsDB
}
