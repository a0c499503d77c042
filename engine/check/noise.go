// The noise of full chords: what is there all the time under the sound.

package check

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"lapstrake/engine/show"
	"lapstrake/engine/stream"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/work"
)

// noiseSpread is how wrong the floor of noise of a known level under tones is told, in dB; see
// TestNoiseFloorUnderTones.
const noiseSpread = 0.5

// measureNoise finds the noise floors of all cycles, zone-major as spectra; as spectra without a mono sum.
func (s *subject) measureNoise(ctx context.Context) ([]*cycleSpectrum, error) {
	layers := len(s.m.Layers)
	floors := make([]*cycleSpectrum, len(s.m.Zones)*layers)
	tally := work.NewTally(float64(len(floors)), s.progress)
	err := work.Each(ctx, len(floors), func(_ context.Context, i int) (err error) {
		defer tally.Add(1)
		floors[i], err = cached(s.cache, "noise floor of "+s.cycleKey(i/layers, i%layers),
			func() (*cycleSpectrum, error) {
				return cycleFloor(s.cycle(i/layers, i%layers))
			})
		return err
	})
	return floors, err
}

// cycleFloor reads one turn.
func cycleFloor(c *stream.Cycle) (*cycleSpectrum, error) {
	left, right, err := oneTurn(c)
	if err != nil {
		return nil, err
	}
	power, binHz := hearing.NoiseFloor([][]float32{left, right}, c.RateHz)
	return &cycleSpectrum{BinHz: binHz, Stereo: power, Mono: make([]float64, len(power))}, nil
}

// noise compares the floor of ten keys held together with their sound: both are sums over keys and cycles. Takes of
// rain or wind count as noise too, as far as they never step back. The usual limit, 15 LU, is by how much speech
// should lie above the noise of a room (ANSI S12.60, from memory).
func noise(ctx context.Context, s *subject, said *PartReport) error {
	if err := s.measure(ctx); err != nil {
		return err
	}
	floors, err := s.measureNoise(ctx)
	if err != nil {
		return err
	}
	const name = "ten keys around the middle"
	chord := s.middleTen()
	floorOf := func(zone, layer int) *cycleSpectrum { return floors[zone*len(s.m.Layers)+layer] }
	lowest, at := math.Inf(1), 0
	for i, value := range dynamicsValues {
		below := s.noiseBelow(chord, value, floorOf)
		said.tell(fmt.Sprintf("noise under %s at dynamics %d", name, value), below, "LU below them", moreIsBetter)
		if below < lowest {
			lowest, at = below, i
		}
	}
	value := dynamicsValues[at]
	said.judge(s.limits.NoiseBelowLU, Finding{
		What: "noise_below_lu", hear: &ToHear{fmt.Sprintf("%s at dynamics %d", name, value),
			[]Scene{{Keys: chord, Dynamics: value, FromSec: 3, Sec: 2 * sceneSec}}},
		Place:  Place{Keys: chord, Chord: name, Dynamics: &value},
		Figure: lowest, Unit: "LU", Spread: noiseSpread,
		Text: fmt.Sprintf("under %s, held at dynamics %d, noise is there all the time, %.0f LU below their sound",
			name, value, lowest),
	}, func() string { return s.cureNoise(chord, value, floorOf) })
	said.Drawings = append(said.Drawings, s.drawNoise(floorOf))
	return nil
}

// noiseBelow is by how many LU the noise of keys lies below their sound; +Inf where there is no noise, or no sound.
func (s *subject) noiseBelow(keys []int, value int, floorOf func(zone, layer int) *cycleSpectrum) float64 {
	floor, sounds := s.silence(), s.silence()
	for _, key := range keys {
		s.addKey(floor, key, value, floorOf)
		s.addKey(sounds, key, value, s.spectrum)
	}
	if sounds.stereo == 0 {
		return math.Inf(1)
	}
	return sounds.lufs() - floor.lufs()
}

// cureNoise names the beds that most of the noise of keys comes from.
func (s *subject) cureNoise(keys []int, value int, floorOf func(zone, layer int) *cycleSpectrum) string {
	type share struct {
		beds  string
		power float64
	}
	var shares []share
	all := 0.0
	for zone := range s.m.Zones {
		for layer, name := range s.m.Layers {
			alone := s.silence()
			for _, key := range keys {
				s.addKey(alone, key, value, func(z, l int) *cycleSpectrum {
					if z != zone || l != layer {
						return &cycleSpectrum{BinHz: 1}
					}
					return floorOf(z, l)
				})
			}
			all += alone.weighted
			shares = append(shares, share{wordList(s.m.Zones[zone].Beds[name]), alone.weighted})
		}
	}
	slices.SortStableFunc(shares, func(a, b share) int { return cmp.Compare(b.power, a.power) })
	return fmt.Sprintf("lapstrake.toml, conform.denoise_db: more; or takes.csv, use: no for the noisiest takes "+
		"(snr_db) of %s, where %.0f %% of it comes from; rain or wind that is wanted can be waived", shares[0].beds,
		100*shares[0].power/all)
}

// drawNoise draws how far the noise of each key lies below it.
func (s *subject) drawNoise(floorOf func(zone, layer int) *cycleSpectrum) show.Drawing {
	c := &show.Curves{Title: "Noise under the keys", Across: "key", Naming: s.m.MiddleC,
		About: []string{"noise_below_lu"}, Up: "LU by which noise lies below the sound"}
	for _, value := range dynamicsValues {
		curve := show.Curve{Name: fmt.Sprintf("dynamics %d", value)}
		for key := s.lowest; key <= s.highest; key++ {
			curve.X, curve.Y = append(curve.X, float64(key)), append(curve.Y, s.noiseBelow([]int{key}, value, floorOf))
		}
		c.Curves = append(c.Curves, curve)
	}
	return c
}
