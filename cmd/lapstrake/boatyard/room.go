// The room a take was recorded in: a small feedback delay network.
package boatyard

import "math"

// room is how large and how hard the place was.
type room struct {
	sizeMetres float64 // about its longest side
	decaySec   float64 // until 60 dB down
	dullHz     float64 // its walls swallow what lies above
	wetDB      float64 // level of the room beside the direct sound; 0 turns it off
}

// Lengths of the four paths as shares of the size, far from simple ratios.
var pathShares = [4]float64{1, 0.783, 0.611, 0.467}

const soundMetresPerSec = 343.0

// add mixes the room's answer to dry into left and right: four delays that feed one another through a Hadamard
// matrix, each losing per pass what decaySec asks (after Jot & Chaigne 1991).
func (r room) add(left, right, dry []float64, rateHz float64) {
	if r.wetDB == 0 {
		return
	}
	var line [4][]float64
	var keep, dull [4]float64
	for k := range line {
		frames := int(pathShares[k]*r.sizeMetres/soundMetresPerSec*rateHz) + 7*k + 11
		line[k] = make([]float64, frames)
		keep[k] = math.Pow(10, -3*float64(frames)/(r.decaySec*rateHz))
	}
	pole := math.Exp(-2 * math.Pi * min(r.dullHz, topShare*rateHz) / rateHz)
	wet := dB(r.wetDB)
	var at [4]int
	for i, x := range dry {
		var y [4]float64
		for k := range y {
			dull[k] += (1 - pole) * (line[k][at[k]]*keep[k] - dull[k])
			y[k] = dull[k]
		}
		left[i] += wet * (y[0] + y[2])
		right[i] += wet * (y[1] + y[3])
		sum, diff := y[0]+y[1], y[0]-y[1]
		sum2, diff2 := y[2]+y[3], y[2]-y[3]
		back := [4]float64{(sum + sum2) / 2, (diff + diff2) / 2, (sum - sum2) / 2, (diff - diff2) / 2}
		for k := range back {
			line[k][at[k]] = back[k] + x
			if at[k]++; at[k] == len(line[k]) {
				at[k] = 0
			}
		}
	}
}
