// What is checked, and what several checks need of it, measured once.

package check

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"sync"

	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/ledger"
	"lapstrake/mapping/project"
	"lapstrake/mapping/work"
)

// DefaultChord is what is held when no keys are named: an open chord around middle C (common practice).
func DefaultChord() []int { return []int{48, 55, 64, 71} }

// dynamicsValues are where the dynamics controller stands for what is measured at few places.
var dynamicsValues = ledger.Dynamics[:]

type subject struct {
	Input
	m        *mapping.Map
	limits   project.CheckSettings
	lowest   int // keys that sound
	highest  int
	progress func(part float64)

	cache    *cache
	hashes   map[string]string        // of the beds
	contents map[string]beds.Contents // of the beds
	spectra  []*cycleSpectrum         // zone-major, as the cycles; nil until they are measured
	kWeights []float64

	stillness *sync.Mutex // of standStill
}

func newSubject(in Input) *subject {
	s := &subject{Input: in, m: in.Cycles.Map, limits: in.Settings.Limits, lowest: mapping.HighestKey,
		cache: newCache(filepath.Dir(in.MapPath)), stillness: new(sync.Mutex)}
	for _, z := range s.m.Zones {
		s.lowest, s.highest = min(s.lowest, z.Low), max(s.highest, z.High)
	}
	if len(s.Keys) == 0 {
		s.Keys = DefaultChord()
	}
	return s
}

// measure finds the spectra of all cycles, once.
func (s *subject) measure(ctx context.Context) error {
	if s.spectra != nil {
		return nil
	}
	if err := s.hash(ctx); err != nil {
		return err
	}
	layers := len(s.m.Layers)
	spectra := make([]*cycleSpectrum, len(s.m.Zones)*layers)
	tally := work.NewTally(float64(len(spectra)), s.progress)
	err := work.Each(ctx, len(spectra), func(_ context.Context, i int) (err error) {
		defer tally.Add(1)
		spectra[i], err = cached(s.cache, s.cycleKey(i/layers, i%layers), func() (*cycleSpectrum, error) {
			return measureCycle(s.cycle(i/layers, i%layers))
		})
		return err
	})
	if err == nil {
		s.spectra = spectra
	}
	return err
}

// hash finds the hashes of the beds, once.
func (s *subject) hash(ctx context.Context) (err error) {
	if s.hashes == nil {
		s.hashes, err = s.hashBeds(ctx)
	}
	return err
}

// readContents finds what the beds hold, and their hashes, once.
func (s *subject) readContents(ctx context.Context) error {
	if s.contents != nil {
		return nil
	}
	if err := s.hash(ctx); err != nil {
		return err
	}
	all, err := beds.ReadContents(filepath.Dir(s.MapPath), s.m.BedPaths())
	s.contents = map[string]beds.Contents{}
	for _, bed := range all {
		s.contents[bed.Bed] = bed
	}
	return err
}

// cycleKey tells apart all that a cycle's sound depends on.
func (s *subject) cycleKey(zone, layer int) string {
	key := fmt.Sprintf("cycle %d Hz, %v s of each bed, %v s overlap:", s.m.RateHz, s.m.BedSec, s.m.OverlapSec)
	for _, bed := range s.m.Zones[zone].Beds[s.m.Layers[layer]] {
		key += " " + s.hashes[bed]
	}
	return key
}

func (s *subject) cycle(zone, layer int) *stream.Cycle { return s.Cycles.Cycle(zone, layer) }

func (s *subject) spectrum(zone, layer int) *cycleSpectrum {
	return s.spectra[zone*len(s.m.Layers)+layer]
}

// name is what a key is called in the project.
func (s *subject) name(key int) string { return s.m.MiddleC.Name(key) }

// shortNames lists the names of keys alone.
func (s *subject) shortNames(keys []int) string {
	words := make([]string, len(keys))
	for i, key := range keys {
		words[i] = s.name(key)
	}
	return strings.Join(words, " ")
}

// names lists keys as a person reads them: C4 (60), E4 (64).
func (s *subject) names(keys ...int) string {
	words := make([]string, len(keys))
	for i, key := range keys {
		words[i] = fmt.Sprintf("%s (%d)", s.name(key), key)
	}
	return strings.Join(words, ", ")
}
