// Contrast: takes that may be heard at once are set apart from one another, as a mix does. Each is raised where it has
// more than they have on the mean, and lowered where it has less: so each keeps the bands that are its own, and turns
// differ more.

package arrange

import (
	"math"
	"slices"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/sound"
)

const (
	contrastPart = 0.9  // a take's difference from the mean grows by this part of it, at most
	contrastMost = 9.0  // dB by which any bell raises or lowers, at most
	contrastDeep = 25.0 // dB: a band farther under a take's strongest one counts as so far under it
	bellOverlap  = 0.7  // each bell has this part of its height: bells as far apart as they are wide add up
)

// shape is a spectrum in dB in the bands of hearing, against the power of the whole.
type shape [hearing.Bands]float64

// shapeOf is the shape of an excitation, K-weighted and spread as the ear spreads it; false for silence.
func (a *arranger) shapeOf(e hearing.Excitation) (s shape, sounds bool) {
	whole, strongest := 0.0, 0.0
	for band, weight := range &a.weights {
		e[band] *= weight
		whole += e[band]
	}
	if whole == 0 {
		return s, false
	}
	spread := e.Spread()
	for _, power := range &spread {
		strongest = max(strongest, power)
	}
	for band, power := range &spread {
		s[band] = sound.PowerDB(max(power, strongest*sound.DBToPower(-contrastDeep)) / whole)
	}
	return s, true
}

// setApart filters the parts by how their shapes differ from the mean of all that they meet: the parts of their own bed
// and those of its company.
func (a *arranger) setApart() {
	if a.settings.ContrastDB <= 0 {
		return
	}
	var shapes []shape // those of the parts come first
	var parts []int
	for i := range a.materials {
		if m := &a.materials[i]; m.sounds {
			if s, sounds := a.shapeOf(a.measurer.Course(m.left, m.right, nil).Mean()); sounds {
				shapes, parts = append(shapes, s), append(parts, i)
			}
		}
	}
	for _, cycle := range a.company.Cycles {
		for block := range cycle.Blocks() {
			if s, sounds := a.shapeOf(cycle.At(block)); sounds {
				shapes = append(shapes, s)
			}
		}
	}
	mean := shape{}
	for i := range shapes {
		for band, db := range &shapes[i] {
			mean[band] += db / float64(len(shapes))
		}
	}
	for rank, part := range parts {
		a.materials[part].filter(contrastBells(&shapes[rank], &mean, a.settings.ContrastDB), a.rateHz)
	}
}

// contrastBells move a shape away from a mean, by mostDB at most, as the root of the mean square over the bands. A
// shape that differs much already is moved by a smaller part of its difference.
func contrastBells(own, mean *shape, mostDB float64) (bells []Bell) {
	const leastDB = 0.2 // a lower bell is not worth a filter
	squares := 0.0
	for band := range own {
		squares += (own[band] - mean[band]) * (own[band] - mean[band]) / hearing.Bands
	}
	part := contrastPart * min(mostDB/math.Sqrt(squares), 1)
	for number := 2.0; number < sound.ERBNumber(hearing.BandHz(hearing.Bands-1)); number += bellERB {
		sum, weights := 0.0, 0.0
		for band := range own {
			apart := math.Abs(sound.ERBNumber(hearing.BandHz(float64(band))) - number)
			weight := max(1-apart/bellERB, 0)
			sum, weights = sum+weight*(own[band]-mean[band]), weights+weight
		}
		db := bellOverlap * min(max(part*sum/weights, -contrastMost), contrastMost)
		if math.Abs(db) > leastDB {
			bells = append(bells, Bell{sound.ERBHz(number), db})
		}
	}
	return bells
}

// filter puts the material through bells; the samples that it was made of stay as they are.
func (m *material) filter(bells []Bell, rateHz int) {
	if len(bells) == 0 {
		return
	}
	if alike(m.left, m.right) {
		m.left = slices.Clone(m.left)
		m.right = m.left
	} else {
		m.left, m.right = slices.Clone(m.left), slices.Clone(m.right)
	}
	m.bringOut(bells, rateHz)
}
