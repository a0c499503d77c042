// The seams: keys between which a zone ends and another begins.

package check

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"lapstrake/mapping"
)

// keyStep is how much the sound changes from a key to the next.
type keyStep struct {
	lower    int // key; the other is one above
	seam     bool
	dynamics int
	lu       float64 // loudness, upper less lower
	erb      float64 // brightness, upper less lower
	widthDeg float64 // width, upper less lower
}

// seams compares neighbouring keys. A step at a seam counts as far as it exceeds what keys inside zones step.
func seams(ctx context.Context, s *subject, said *PartReport) error {
	if err := s.measure(ctx); err != nil {
		return err
	}
	steps, faded := s.steps(), []keyStep(nil)
	inside := func(of func(keyStep) float64) float64 { return median(stepSizes(steps, false, of)) }
	said.tellSteps("inside zones", steps, false, neither)
	said.tellSteps("at seams", steps, true, lessIsBetter)
	if s.m.SeamFadeDB == 0 {
		faded = s.withFade(usualFadeDB).steps()
		said.tellSteps(fmt.Sprintf("at seams, if each rank fell by %d dB towards them", int(usualFadeDB)), faded, true,
			lessIsBetter)
	}
	said.Drawings = s.drawKeys()
	for _, lower := range seamKeys(steps) {
		worst := func(of func(keyStep) float64) (at keyStep) {
			for _, step := range steps {
				if step.lower == lower && math.Abs(of(step)) >= math.Abs(of(at)) {
					at = step
				}
			}
			return at
		}
		loud, bright, wide := worst(stepLU), worst(stepERB), worst(stepWidth)
		between := fmt.Sprintf("from %s to %s", s.names(lower), s.names(lower+1))
		said.judge(s.limits.SeamLU, Finding{
			What: "seam_lu", Place: s.seamPlace(loud), Figure: math.Abs(loud.lu) - inside(stepLU), Unit: "LU",
			Spread: math.Sqrt2 * luSpread,
			Text: fmt.Sprintf("the sound gets %s by %.1f LU %s, at dynamics %d", louder(loud.lu),
				math.Abs(loud.lu), between, loud.dynamics),
		}, func() string { return cmp.Or(cureFade(loud, faded, stepLU, "LU"), s.cureLoudness(loud)) })
		said.judge(s.limits.SeamERB, Finding{
			What: "seam_erb", Place: s.seamPlace(bright), Figure: math.Abs(bright.erb) - inside(stepERB), Unit: "ERB",
			Spread: math.Sqrt2 * erbSpread,
			Text: fmt.Sprintf("the sound gets %s by %.1f auditory bands %s, at dynamics %d", brighter(bright.erb),
				math.Abs(bright.erb), between, bright.dynamics),
		}, func() string {
			return cmp.Or(cureFade(bright, faded, stepERB, "auditory bands"), "takes.csv, bed: give both zones "+
				"takes of like brightness; or lapstrake map DIR --root-at middle, which halves the shifts")
		})
		said.judge(s.limits.SeamWidthDeg, Finding{
			What: "seam_width_deg", Place: s.seamPlace(wide), Figure: math.Abs(wide.widthDeg) - inside(stepWidth),
			Unit:   "°",
			Spread: math.Sqrt2 * widthSpread,
			Text: fmt.Sprintf("the sound gets %s by %.0f° %s, at dynamics %d (0° is mono, 45° are sides with "+
				"nothing in common)",
				wider(wide.widthDeg), math.Abs(wide.widthDeg), between, wide.dynamics),
		}, func() string {
			return cmp.Or(cureFade(wide, faded, stepWidth, "degrees"), "takes.csv, bed: give both zones takes of "+
				"like width, or lapstrake.toml, arrange.width: another spread of their places")
		})
	}
	return nil
}

func stepLU(s keyStep) float64  { return s.lu }
func stepERB(s keyStep) float64 { return s.erb }

func stepWidth(s keyStep) float64 { return s.widthDeg }

func wider(widthDeg float64) string {
	if widthDeg < 0 {
		return "narrower"
	}
	return "wider"
}

func louder(lu float64) string {
	if lu < 0 {
		return "softer"
	}
	return "louder"
}

func brighter(erb float64) string {
	if erb < 0 {
		return "darker"
	}
	return "brighter"
}

// tellSteps tells the median and the largest step at seams, or inside zones.
func (p *PartReport) tellSteps(where string, steps []keyStep, seams bool, better Better) {
	for _, kind := range []struct {
		name, unit string
		of         func(keyStep) float64
	}{{"loudness", "LU", stepLU}, {"brightness", "ERB", stepERB}, {"width", "°", stepWidth}} {
		if sizes := stepSizes(steps, seams, kind.of); len(sizes) > 0 {
			p.tell(kind.name+" step "+where+", median", median(sizes), kind.unit, better)
			p.tell(kind.name+" step "+where+", largest", slices.Max(sizes), kind.unit, better)
		}
	}
}

// stepSizes lists how large the steps at seams are, or those inside zones.
func stepSizes(steps []keyStep, seams bool, of func(keyStep) float64) (sizes []float64) {
	for _, step := range steps {
		if step.seam == seams {
			sizes = append(sizes, math.Abs(of(step)))
		}
	}
	return sizes
}

// steps compares all neighbouring keys that both sound, at each place of the dynamics.
func (s *subject) steps() (steps []keyStep) {
	for _, value := range dynamicsValues {
		var before *keySound
		for key := s.lowest; key <= s.highest; key++ {
			now := s.sound(key, value)
			if now.stereo == 0 {
				before = nil
				continue
			}
			if before != nil {
				steps = append(steps, keyStep{
					lower: key - 1, dynamics: value, seam: !slices.Equal(s.m.ZonesAt(key-1), s.m.ZonesAt(key)),
					lu: now.lufs() - before.lufs(), erb: now.centroidERB() - before.centroidERB(),
					widthDeg: now.widthDeg() - before.widthDeg(),
				})
			}
			before = now
		}
	}
	return steps
}

// usualFadeDB is the fade at seams that new maps have.
var usualFadeDB = mapping.DefaultGrid().SeamFadeDB

// withFade is the same subject on a map that fades at its seams.
func (s *subject) withFade(fadeDB float64) *subject {
	faded, m := *s, *s.m
	m.SeamFadeDB = fadeDB
	faded.m = &m
	return &faded
}

// cureFade proposes the fade at seams where it makes a step smaller by a half or more. faded are the steps with it;
// none where the map has one.
func cureFade(step keyStep, faded []keyStep, of func(keyStep) float64, unit string) string {
	for _, with := range faded {
		if with.lower == step.lower && with.dynamics == step.dynamics && math.Abs(of(with)) <= math.Abs(of(step))/2 {
			return fmt.Sprintf("lapstrake map DIR --seam-fade %d (steps by %.1f instead of %.1f %s here)",
				int(usualFadeDB), math.Abs(of(with)), math.Abs(of(step)), unit)
		}
	}
	return ""
}

// seamKeys lists the lower keys of the seams.
func seamKeys(steps []keyStep) (keys []int) {
	for _, step := range steps {
		if step.seam && !slices.Contains(keys, step.lower) {
			keys = append(keys, step.lower)
		}
	}
	return keys
}

func (s *subject) seamPlace(step keyStep) Place {
	return Place{Keys: []int{step.lower, step.lower + 1}, Dynamics: &step.dynamics}
}

// cureLoudness names the beds whose level makes the step: of the zone that only one of the keys sounds and that strays
// further from the level of its layer.
func (s *subject) cureLoudness(step keyStep) string {
	below, above := s.m.ZonesAt(step.lower), s.m.ZonesAt(step.lower+1)
	layer := 0
	if step.dynamics > 63 {
		layer = len(s.m.Layers) - 1
	}
	worst, strays := -1, 0.0
	for _, zone := range append(slices.Clone(below), above...) {
		if slices.Contains(below, zone) && slices.Contains(above, zone) {
			continue
		}
		if by := s.cycleLUFS(zone, layer) - s.layerLUFS(layer); worst < 0 || math.Abs(by) > math.Abs(strays) {
			worst, strays = zone, by
		}
	}
	const levelled = 0.2 // LU: nearer than that, the level is not what makes the step
	if worst < 0 || math.Abs(strays) < levelled {
		return "lapstrake map DIR --root-at middle: the zones are equally loud, and the step comes of their shifts"
	}
	z := s.m.Zones[worst]
	return fmt.Sprintf("takes.csv, gain_db: %+.1f for the takes of %s", -strays, wordList(z.Beds[s.m.Layers[layer]]))
}
