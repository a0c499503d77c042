// Whether beds and keys are equally loud, and what mono leaves of them.

package check

import (
	"context"
	"fmt"
	"math"
)

// evenness compares each cycle with the others of its layer, and each key with the octave around it.
func evenness(ctx context.Context, s *subject, said *PartReport) error {
	if err := s.measure(ctx); err != nil {
		return err
	}
	s.judgeCycles(said)
	sounds := make([]*keySound, s.highest+1)
	for key := s.lowest; key <= s.highest; key++ {
		sounds[key] = s.sound(key, s.m.Dynamics.Initial)
	}
	s.judgeKeys(said, sounds)
	said.Drawings = append(said.Drawings, s.drawCycles(), s.drawMono(sounds))
	return nil
}

// judgeCycles finds cycles that are louder or softer than the others of their layer.
func (s *subject) judgeCycles(said *PartReport) {
	for layer, name := range s.m.Layers {
		middle, largest := s.layerLUFS(layer), 0.0
		said.tell("loudness of layer "+name+", median", middle, "LUFS", neither)
		for zone := range s.m.Zones {
			z := &s.m.Zones[zone]
			by := s.cycleLUFS(zone, layer) - middle
			largest = max(largest, math.Abs(by))
			said.judge(s.limits.BedLU, Finding{
				What: "bed_lu", Place: Place{Rank: z.Rank, Layer: name, Bed: wordList(z.Beds[name])},
				Figure: math.Abs(by),
				hear:   s.hearLayer(zone, layer),
				Unit:   "LU",
				Text: fmt.Sprintf("%s sound %.1f LU %s than the other beds of layer %s", wordList(z.Beds[name]),
					math.Abs(by), louder(by), name),
			}, func() string {
				return fmt.Sprintf("takes.csv, gain_db: %+.1f for their takes; if the beds were not built here, "+
					"change their level", -by)
			})
		}
		said.tell("loudness of layer "+name+", farthest from that", largest, "LU", lessIsBetter)
	}
}

// judgeKeys finds keys that stand out from the octave around them, and those that lose much in mono.
func (s *subject) judgeKeys(said *PartReport, sounds []*keySound) {
	const around = 6
	largest, mostLost := 0.0, 0.0
	for key := s.lowest; key <= s.highest; key++ {
		if sounds[key].stereo == 0 {
			continue
		}
		var octave []float64
		for near := max(key-around, s.lowest); near <= min(key+around, s.highest); near++ {
			if sounds[near].stereo > 0 {
				octave = append(octave, sounds[near].lufs())
			}
		}
		by := sounds[key].lufs() - median(octave)
		largest, mostLost = max(largest, math.Abs(by)), max(mostLost, sounds[key].monoLossDB())
		said.judge(s.limits.KeyLU, Finding{
			What: "key_lu", Place: onKey(key), Figure: math.Abs(by), Unit: "LU", Spread: luSpread,
			Text: fmt.Sprintf("%s sounds %.1f LU %s than the octave around it", s.names(key),
				math.Abs(by), louder(by)),
		}, func() string { return "level the beds of its zones: see the findings on beds" })
		said.judge(s.limits.MonoLossDB, Finding{
			What: "mono_loss_db", Place: onKey(key), hear: s.hearMono(key), Figure: sounds[key].monoLossDB(),
			Unit: "dB",
			Text: fmt.Sprintf("%s loses %.1f dB in mono", s.names(key), sounds[key].monoLossDB()),
		}, func() string {
			return "takes.csv, use: no for takes flagged out of phase, or ask for another recording of them"
		})
	}
	said.tell("keys, farthest from the octave around them", largest, "LU", lessIsBetter)
	said.tell("keys, most lost in mono", mostLost, "dB", lessIsBetter)
}
