// What the dynamics controller does.

package check

import (
	"context"
	"fmt"
	"math"
	"slices"

	"lapstrake/mapping"
	"lapstrake/mapping/sound"
)

// sweep is the sound of a key at every value of the dynamics.
type sweep struct {
	key    int
	lufs   [128]float64
	erb    [128]float64
	timbre [128]float64 // dB RMS over the bands, from the sound at 0, levels made equal
}

// dynamics sweeps the controller on the root of every zone, and strikes it at some values.
func dynamics(ctx context.Context, s *subject, said *PartReport) error {
	if err := s.measure(ctx); err != nil {
		return err
	}
	var strays, dips, halves, rises []float64
	var sweeps []*sweep
	for _, key := range s.rootKeys() {
		w := s.sweep(key)
		sweeps = append(sweeps, w)
		stray, strayAt := w.stray()
		dip, dipAt := w.dip()
		strays, dips = append(strays, stray), append(dips, dip)
		halves, rises = append(halves, float64(w.half())), append(rises, w.lufs[127]-w.lufs[0])
		said.judge(s.limits.DynamicsLU, Finding{
			What: "dynamics_lu", Place: onKey(key), hear: s.hearSweep(key), Figure: stray, Unit: "LU",
			Spread: math.Sqrt2 * luSpread,
			Text: fmt.Sprintf("on %s the loudness at dynamics %d strays by %.1f LU from an even rise", s.names(key),
				strayAt, stray),
		}, func() string { return s.cureLaw(key) })
		said.judge(s.limits.DynamicsDipLU, Finding{
			What: "dynamics_dip_lu", Place: onKey(key), hear: s.hearSweep(key), Figure: dip, Unit: "LU",
			Spread: math.Sqrt2 * luSpread,
			Text: fmt.Sprintf("on %s the sound gets softer by %.1f LU while the dynamics rise to %d",
				s.names(key), dip, dipAt),
		}, func() string { return s.cureLaw(key) })
	}
	s.judgeBrightness(said)
	said.Drawings = s.drawSweeps(sweeps)
	said.tell("loudness from 0 to 127, median", median(rises), "LU", neither)
	said.tell("farthest from an even rise, median", median(strays), "LU", lessIsBetter)
	said.tell("softer while rising, median", median(dips), "LU", lessIsBetter)
	said.tell("half of the change of timbre is done at, median", median(halves), "", neither)
	attacks, err := s.measureAttacks(ctx, s.rootKeys())
	if err == nil {
		s.judgeAttacks(said, attacks)
	}
	return err
}

// judgeBrightness compares loud and soft on every key.
func (s *subject) judgeBrightness(said *PartReport) {
	var brighter []float64
	for key := s.lowest; key <= s.highest; key++ {
		soft, loud := s.sound(key, 0).centroidERB(), s.sound(key, 127).centroidERB()
		brighter = append(brighter, loud-soft)
		said.judge(s.limits.DynamicsDarkerERB, Finding{
			What: "dynamics_darker_erb", Place: onKey(key), hear: s.hearSweep(key), Figure: soft - loud, Unit: "ERB",
			Spread: math.Sqrt2 * erbSpread,
			Text: fmt.Sprintf("on %s loud is darker than soft, by %.1f auditory bands", s.names(key),
				soft-loud),
		}, func() string {
			return "takes.csv, layer: loud for its bright takes, soft for its dark ones; or lapstrake.toml, " +
				"conform.darken_most_db: more"
		})
	}
	said.tell("loud is brighter than soft by, median", median(brighter), "ERB", moreIsBetter)
	said.tell("loud is brighter than soft by, least", slices.Min(brighter), "ERB", moreIsBetter)
}

// rootKeys are the keys on which zones sound unshifted, as far as they sound, each once.
func (s *subject) rootKeys() (keys []int) {
	for key := s.lowest; key <= s.highest; key++ {
		for _, z := range s.m.Zones {
			if z.Root == key && z.Holds(key) {
				keys = append(keys, key)
				break
			}
		}
	}
	return keys
}

func (s *subject) sweep(key int) *sweep {
	w := &sweep{key: key}
	var first *keySound
	for value := range 128 {
		k := s.sound(key, value)
		if value == 0 {
			first = k
		}
		w.lufs[value], w.erb[value] = k.lufs(), k.centroidERB()
		w.timbre[value] = timbreDB(first, k)
	}
	return w
}

// timbreDB is the distance of two sounds in dB RMS over the auditory bands within 35 dB of the strongest of either,
// each less its own mean.
func timbreDB(a, b *keySound) float64 {
	levels := func(k *keySound) []float64 {
		strongest := math.Inf(-1)
		db := make([]float64, len(k.bands))
		for i, power := range k.bands {
			db[i] = sound.PowerDB(power)
			strongest = max(strongest, db[i])
		}
		for i := range db {
			db[i] = max(db[i]-strongest, -35)
		}
		return db
	}
	da, db := levels(a), levels(b)
	sum, squares, n := 0.0, 0.0, 0.0
	for i := range da {
		if da[i] <= -35 && db[i] <= -35 {
			continue
		}
		d := da[i] - db[i]
		sum, squares, n = sum+d, squares+d*d, n+1
	}
	if n == 0 {
		return 0
	}
	return math.Sqrt(max(squares/n-sum*sum/n/n, 0))
}

// stray is how far the loudness is from a straight line between its ends at most, and where.
func (w *sweep) stray() (lu float64, at int) {
	for value, lufs := range w.lufs {
		line := w.lufs[0] + (w.lufs[127]-w.lufs[0])*float64(value)/127
		if by := math.Abs(lufs - line); by > lu {
			lu, at = by, value
		}
	}
	return lu, at
}

// dip is how far the loudness falls below what it was at a lower value, at most, and where.
func (w *sweep) dip() (lu float64, at int) {
	highest := math.Inf(-1)
	for value, lufs := range w.lufs {
		highest = max(highest, lufs)
		if by := highest - lufs; by > lu {
			lu, at = by, value
		}
	}
	return lu, at
}

// half is the first value at which half of the change of timbre is done.
func (w *sweep) half() int {
	for value, distance := range w.timbre {
		if distance >= w.timbre[127]/2 {
			return value
		}
	}
	return 127
}

// cureLaw proposes the crossfade law that makes the loudness over the dynamics most even.
func (s *subject) cureLaw(key int) string {
	now := s.sweep(key)
	strayNow, _ := now.stray()
	best, least := s.m.Dynamics, strayNow
	for _, law := range mapping.Laws {
		other := *s.m
		other.Dynamics.Law = law
		if law == mapping.EvenLoudness {
			other.Dynamics.RangeLU = max(math.Round(10*(now.lufs[127]-now.lufs[0]))/10, 0)
		}
		try := *s
		try.m = &other
		if stray, _ := try.sweep(key).stray(); stray < least {
			best, least = other.Dynamics, stray
		}
	}
	if least > strayNow-0.1 {
		return "lapstrake.toml, beds.soft_below_loud_db: bring the layers nearer to each other"
	}
	cure := fmt.Sprintf("map.toml, dynamics, law: %q", best.Law)
	if best.Law == mapping.EvenLoudness {
		cure += fmt.Sprintf(" and range_lu: %.1f", best.RangeLU)
	}
	return cure + fmt.Sprintf(" (strays by %.1f instead of %.1f LU here)", least, strayNow)
}
