// Faults that need beds of other sounds: a swell, a narrow zone, hiss.

package check_test

import (
	"math"
	"math/rand/v2"
	"slices"

	"lapstrake/engine/check"
	"lapstrake/mapping"
	"lapstrake/mapping/sound"
)

func plantSwell(y *yard, random *rand.Rand) wanted {
	swellSec := 0.2 + 0.1*random.Float64()
	y.settings.Limits.AttackSlowerTimes[0] = 4
	y.grid.StaggerBy, y.grid.Starts, y.grid.RanksApartTurns = mapping.ByZone, []float64{0}, 0
	y.grid.SeamFadeDB = 0
	for name, frames := range y.beds {
		if rankOf(name.Root) == "F#" { // silent, since tones of two ranks beat
			clear(frames)
			continue
		}
		for i := range frames {
			frames[i] = float32(math.Sin(2 * math.Pi * sound.KeyHz(float64(name.Root)) * float64(i/2) / yardRateHz))
		}
		level(frames, map[string]float64{"soft": -29, "loud": -20}[name.Layer])
		for i := 0; name.Layer == "loud" && name.Strand == "a" && i < int(swellSec*yardRateHz); i++ {
			at, rise := 2*(yardOverlapFrames+i), float32(i)/float32(swellSec*yardRateHz)
			frames[at], frames[at+1] = rise*frames[at], rise*frames[at+1]
		}
	}
	// 0.8 of an even rise lie between its first and its ninth tenth, 0.59 of the 50 ms of raised cosine by which notes
	// begin, which a window of 25 ms, half as wide at half its height, reads as 33 ms. The roots of the silent rank
	// are played 6 semitones and so √2 slower than recorded.
	readSec := math.Hypot(0.59*0.05, 0.015)
	return wanted{"attack_slower_times", 0.8 * swellSec * math.Sqrt2 / readSec, 0.5, func(p check.Place) bool {
		return len(p.Keys) == 4 && rankOf(p.Keys[0]) == "F#"
	}}
}

func plantNarrow(y *yard, random *rand.Rand) wanted {
	y.grid.SeamFadeDB = 0
	correlation := 0.2 + 0.7*random.Float64()
	for _, name := range y.names() {
		bed := noise(random, yardBedSec)
		for i := 0; name.Root == 60 && i < len(bed); i += 2 {
			bed[i+1] = float32(correlation*float64(bed[i]) + math.Sqrt(1-correlation*correlation)*float64(bed[i+1]))
		}
		if name.Root == 66 { // the other rank is silent there, so that one zone follows another
			clear(bed)
		}
		y.beds[name] = bed
	}
	deg := 45 - math.Acos(correlation)/2*180/math.Pi
	y.settings.Limits.SeamWidthDeg = []float64{3, 20}
	return wanted{"seam_width_deg", deg, 1.5, func(p check.Place) bool { return slices.Equal(p.Keys, []int{60, 61}) }}
}

func plantHiss(y *yard, random *rand.Rand) wanted {
	for _, name := range y.names() {
		hiss := noise(random, yardBedSec)
		level(hiss, map[string]float64{"soft": -39, "loud": -30}[name.Layer])
		for i, v := range hiss {
			y.beds[name][i] += v
		}
	}
	// Played below its root, the noise loses its top, which the K filter raises by 4 dB.
	return wanted{"noise_below_lu", 11, 1.5, func(p check.Place) bool {
		return len(p.Keys) == 10 &&
			p.Dynamics != nil
	}}
}
