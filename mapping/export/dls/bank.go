// Bank: what a file of Downloadable Sounds holds beside the samples.

package dls

import (
	"errors"
	"fmt"
)

// Bank is a collection of programs on one pool of waves.
type Bank struct {
	Title, Artist, Comment, Software string // of the whole; empty ones are not written
	Programs                         []Program
	Waves                            []Wave
}

// Program is what a program change selects: all its regions that hold a key and velocity sound together.
type Program struct {
	Name    string
	Bank    int // controllers 0 and 32 as one number, 0 to 16383
	Number  int // 0 to 127
	Regions []Region
}

// Region is one wave on a range of keys and velocities.
type Region struct {
	KeyLow, KeyHigh           int // 0 to 127
	VelocityLow, VelocityHigh int // 1 to 127
	Wave                      int // index into Waves
	PhaseGroup                int // from 1: regions of one group and one instrument sound in step
	Channel                   Channel
	Connections               []Connection
}

// Channel is a region's side.
type Channel int

// The sides. Left is that of a mono sound too.
const (
	Left Channel = iota
	Right
)

// Wave is one endless cycle, mono.
type Wave struct {
	Name   string
	RateHz int
	Bits   int   // 8 or 16
	Root   int   // MIDI key at which it sounds as recorded
	Frames int64 // of the loop
	Guard  int64 // frames of the cycle that stand before the loop, and again after it
}

// storedFrames is how many frames the file holds of the wave.
func (w *Wave) storedFrames() int64 { return w.Frames + 2*w.Guard }

// GuardFrames is how many frames stand on each side of a loop: more than twice the half width of any sinc in use.
const GuardFrames = 64

// bytes is the length of the wave's data without a pad byte.
func (w *Wave) bytes() int64 { return w.storedFrames() * int64(w.Bits/8) }

const (
	mostWaves    = 1 << 16
	mostPrograms = 128
	mostRegions  = 1 << 14
)

// check finds all that cannot be written.
func (b *Bank) check() error {
	var problems []error
	add := func(format string, args ...any) { problems = append(problems, fmt.Errorf(format, args...)) }
	if len(b.Waves) == 0 || len(b.Waves) > mostWaves || len(b.Programs) == 0 || len(b.Programs) > mostPrograms {
		add("a bank of %d programs on %d waves: expected 1 to %d programs on 1 to %d waves",
			len(b.Programs), len(b.Waves), mostPrograms, mostWaves)
	}
	for i := range b.Waves {
		w := &b.Waves[i]
		switch {
		case w.Bits != 8 && w.Bits != 16:
			add("wave %d: %d bits: expected 8 or 16", i, w.Bits)
		case w.Frames < 1 || w.Guard < 0 || w.RateHz < 1 || w.Root < 0 || w.Root > 127:
			add("wave %d: %d frames at %d Hz, %d around them, root %d: expected at least one frame, and a MIDI key",
				i, w.Frames, w.RateHz, w.Guard, w.Root)
		}
	}
	for _, p := range b.Programs {
		if p.Number < 0 || p.Number > 127 || p.Bank < 0 || p.Bank > 16383 ||
			len(p.Regions) == 0 || len(p.Regions) > mostRegions {
			add("program %d of bank %d with %d regions: expected 0 to 127 of 0 to 16383 with 1 to %d",
				p.Number, p.Bank, len(p.Regions), mostRegions)
		}
		for i, r := range p.Regions {
			if err := r.check(len(b.Waves)); err != nil {
				add("program %d, region %d: %w", p.Number, i, err)
			}
		}
	}
	return errors.Join(problems...)
}

// check finds what cannot be written of a region that plays one of so many waves.
func (r *Region) check(waves int) error {
	switch {
	case r.KeyLow < 0 || r.KeyLow > r.KeyHigh || r.KeyHigh > 127:
		return fmt.Errorf("keys %d to %d: expected a range within 0 to 127", r.KeyLow, r.KeyHigh)
	case r.VelocityLow < 0 || r.VelocityLow > r.VelocityHigh || r.VelocityHigh > 127:
		return fmt.Errorf("velocities %d to %d: expected a range within 0 to 127", r.VelocityLow, r.VelocityHigh)
	case r.Wave < 0 || r.Wave >= waves:
		return fmt.Errorf("wave %d: expected one of the bank's %d", r.Wave, waves)
	case r.PhaseGroup < 0 || r.PhaseGroup > 0xFFFF:
		return fmt.Errorf("phase group %d: expected 0 to 65535", r.PhaseGroup)
	}
	type routing struct {
		source, control Source
		destination     Destination
	}
	seen := map[routing]bool{}
	for _, c := range r.Connections {
		key := routing{c.Source, c.Control, c.Destination}
		if seen[key] {
			return fmt.Errorf("connection from %#x by %#x to %#x: stands twice, expected once", c.Source, c.Control,
				c.Destination)
		}
		seen[key] = true
	}
	return nil
}
