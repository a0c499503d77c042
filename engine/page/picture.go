// The picture of what sounds, as it goes to visitors some thirty times a second.

package page

import (
	"encoding/binary"
	"math"

	"lapstrake/engine"
	"lapstrake/engine/live"
	"lapstrake/mapping"
)

// Look is what a player shows at one moment, besides what sounds.
type Look struct {
	live.Figures
	TruePeakDBTP float64 // of the output since the last look
	OutputDB     float64 // as set by hand
	Underruns    int64
	Latch        bool
	Recording    bool
	Building     bool
	Maps         Maps
}

// Maps tells of a comparison of two maps.
type Maps struct {
	Two   bool   `json:"two"`
	Text  string `json:"text"`  // which of them plays
	Blind bool   `json:"blind"` // nobody is to know
}

// Show takes a picture of what sounds and hands it to all visitors.
func (p *Page) Show(look Look) {
	p.settings.Engine.Snapshot(&p.sound)
	p.chord.see(&p.sound)
	m := p.settings.Engine.Map()
	controllers := p.settings.Engine.Controllers()
	picture := encode(&p.sound, &look, &controllers, m, p.chord.beganFrame)
	p.picture.Store(&picture)
	p.board.tell("maps", look.Maps)
	p.wake()
}

const (
	pictureVersion   = 1
	pictureHeadBytes = 96
	pictureBytes     = 40 // each cycle
)

const (
	flagLatch = 1 << iota
	flagHold
	flagSostenuto
	flagRecording
	flagBuilding
)

// encode writes a picture as little-endian numbers. mapping/pages/web/picture.js reads it; the offsets stand there and
// here alone.
func encode(s *engine.Snapshot, look *Look, c *engine.Controllers, m *mapping.Map, chordFrame int64) []byte {
	b := make([]byte, pictureHeadBytes+pictureBytes*len(s.Cycles))
	b[0] = pictureVersion
	for flag, on := range map[byte]bool{flagLatch: look.Latch, flagHold: c.Hold, flagSostenuto: c.Sostenuto,
		flagRecording: look.Recording, flagBuilding: look.Building} {
		if on {
			b[1] |= flag
		}
	}
	put16(b, 2, len(s.Cycles))
	put64(b, 8, float64(s.Frame))
	put64(b, 16, float64(chordFrame))
	for i, x := range []float64{look.Dynamics, c.BendTurned, look.VolumeDB, float64(look.Volume), look.OutputDB,
		look.FaderDB, look.PeakDBFS,
		look.ReductionDB} {
		put32(b, 24+4*i, x)
	}
	put32(b, 88, look.TruePeakDBTP)
	for i, x := range []int64{int64(look.LoadPercent), int64(look.WorstLoad), look.Underruns,
		look.Misses, look.ReadErrors, look.Stolen + look.Refused, int64(m.RateHz), look.Events} {
		binary.LittleEndian.PutUint32(b[56+4*i:], uint32(min(x, math.MaxUint32)))
	}
	for i := range s.Cycles {
		encodeCycle(b[pictureHeadBytes+pictureBytes*i:], &s.Cycles[i], m.RateHz)
	}
	return b
}

func encodeCycle(b []byte, c *engine.SoundingCycle, rateHz int) {
	b[0], b[1], b[2], b[3] = byte(c.Key), byte(c.Channel), byte(c.Layer), byte(c.State)
	put16(b, 4, c.Zone)
	put16(b, 6, c.MapNumber)
	put64(b, 8, float64(c.BeganFrame))
	frames := float64(c.CycleFrames)
	put64(b, 16, (float64(c.PlayedFrames)+float64(c.Fraction)/mapping.OneFrame)/frames)
	put32(b, 24, float64(c.StartFrame)/frames)
	put32(b, 28, turnSec(c, rateHz))
	put32(b, 32, c.Level)
	put32(b, 36, float64(c.Gain))
}

// turnSec is how long a turn takes at the note's pitch now.
func turnSec(c *engine.SoundingCycle, rateHz int) float64 {
	return float64(c.CycleFrames) * mapping.OneFrame / float64(c.Step) / float64(rateHz)
}

func put16(b []byte, at, x int) { binary.LittleEndian.PutUint16(b[at:], uint16(x)) }
func put32(b []byte, at int, x float64) {
	binary.LittleEndian.PutUint32(b[at:], math.Float32bits(float32(x)))
}
func put64(b []byte, at int, x float64) { binary.LittleEndian.PutUint64(b[at:], math.Float64bits(x)) }
