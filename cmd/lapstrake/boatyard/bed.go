// Beds: one strand of one layer on one root, mixed from several neighbours' takes.
package boatyard

import (
	"fmt"
	"math"
)

// Levels of finished beds, K-weighted RMS over both channels in dBFS, and the highest sample.
const (
	softBedDB = -26.0
	loudBedDB = -20.0
	ceilingDB = -3.5
	beforeSec = 1.4 // mixed but not kept, so that a bed begins mid-sound …
	afterSec  = 0.4 // … and ends so
)

// mixture is a bed in the making; frame 0 lies beforeSec before the bed's first.
type mixture struct {
	*stereo
	memory  *arena // of the takes being mixed in
	rootKey int
	rateHz  int
	seconds float64 // with what is not kept
	noise   *noise
}

// Bed mixes one bed: interleaved stereo, `seconds` long, from four to eight makers that suit the layer ("soft" or
// "loud"), the strand ("a" or "b") and the root. Held sounds take turns under long overlapping windows, two at a
// time; struck ones are scattered unevenly; all are spread over the width. The short-term level stays within 2 dB,
// soft beds at −26 and loud ones at −20 dBFS (RMS, K-weighted as in ITU-R BS.1770-5), peaks below −3 dBFS. It begins
// and ends mid-sound, to be crossfaded with other beds. The same arguments give the same samples. It returns nil for
// another layer or strand, or if seconds or rateHz is not positive. Safe to call from several goroutines.
func Bed(layer, strand string, rootKey int, seconds float64, rateHz int) []float32 {
	frames := int(math.Round(seconds * float64(rateHz)))
	makers := chosen(layer, strand, rootKey)
	if frames <= 0 || rateHz <= 0 || len(makers) == 0 {
		return nil
	}
	before, after := int(beforeSec*float64(rateHz)), int(afterSec*float64(rateHz))
	memory := arenas.Get().(*arena)
	defer arenas.Put(memory)
	memory.back(mark{})
	m := &mixture{
		memory:  memory,
		stereo:  newStereo(before + frames + after),
		rootKey: rootKey,
		rateHz:  rateHz,
		seconds: beforeSec + seconds + afterSec,
		noise:   newNoise(uint64(rootKey), streamOf(fmt.Sprintf("bed %s %s", layer, strand))),
	}
	m.mix(makers, strand)

	target := softBedDB
	if layer == "loud" {
		target = loudBedDB
	}
	m.level(dB(target))
	kept := m.part(before, before+frames)
	for range 2 { // what the ceiling took is given back, then the new peaks are held in turn
		m.gain(dB(target) / max(kept.heard(m.rate()), 1e-9))
		if !m.limit(dB(ceilingDB)) {
			break
		}
	}
	return kept.interleaved()
}

// mix lays everyone in, each kind at its usual share of the strand: a leads with held sounds, b with struck and
// noisy ones.
func (m *mixture) mix(makers []Maker, strand string) {
	heldDB, struckDB, noisyDB, joinSec := 0.0, -4.0, -9.0, 1.8
	if strand == "b" {
		heldDB, struckDB, noisyDB, joinSec = -2, -0.5, -5, 1.3
	}
	places := []float64{-0.55, 0.55, 0.05} // of struck makers, in their order
	var held []Maker
	for _, maker := range makers {
		switch maker.Kind {
		case Held:
			held = append(held, maker)
		case Struck:
			m.scatter(maker, places[0], dB(struckDB))
			places = places[1:]
		case Noisy:
			m.lay(maker, dB(noisyDB))
		}
	}
	m.takeTurns(held, joinSec, dB(heldDB))
}
