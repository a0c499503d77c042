// The room a take was recorded in: a small feedback delay network.
package boatyard

import "math"

// room is how large and how hard the place was.
type room struct {
	sizeMetres float64 // about its longest side
	decaySec   float64 // until 60 dB down
	dullHz     float64 // its walls swallow what lies above
	wetDB      float64 // level of the room beside the direct sound
}

// Lengths of the four paths as shares of the size, far from simple ratios.
var pathShares = [4]float64{1, 0.783, 0.611, 0.467}

const soundMetresPerSec = 343.0

// add mixes the room's answer to the performance into s: four delays that feed one another through a Hadamard
// matrix, each losing per pass what decaySec asks (after Jot & Chaigne 1991).
func (r room) add(s *stereo, p *player) {
	rateHz, dry := p.rateHz, p.mid
	var line [4][]float64
	var keep, dull [4]float64
	for k := range line {
		frames := int(pathShares[k]*r.sizeMetres/soundMetresPerSec*rateHz) + 7*k + 11
		line[k] = p.floats(frames)
		keep[k] = math.Pow(10, -3*float64(frames)/(r.decaySec*rateHz))
	}
	pole := math.Exp(-2 * math.Pi * min(r.dullHz, topShare*rateHz) / rateHz)
	wet := dB(r.wetDB)
	var at [4]int
	for start := 0; start < len(dry); {
		frames := len(dry) - start // until the first of the lines comes round
		for k := range line {
			frames = min(frames, len(line[k])-at[k])
		}
		x := dry[start:][:frames]
		l, r := s.left[start:][:frames], s.right[start:][:frames]
		line0, line1 := line[0][at[0]:][:frames], line[1][at[1]:][:frames]
		line2, line3 := line[2][at[2]:][:frames], line[3][at[3]:][:frames]
		y0, y1, y2, y3 := dull[0], dull[1], dull[2], dull[3]
		for i, v := range x {
			y0 += (1 - pole) * (line0[i]*keep[0] - y0)
			y1 += (1 - pole) * (line1[i]*keep[1] - y1)
			y2 += (1 - pole) * (line2[i]*keep[2] - y2)
			y3 += (1 - pole) * (line3[i]*keep[3] - y3)
			l[i] += wet * (y0 + y2)
			r[i] += wet * (y1 + y3)
			sum, diff, sum2, diff2 := (y0+y1)/2, (y0-y1)/2, (y2+y3)/2, (y2-y3)/2
			line0[i], line1[i] = v+sum+sum2, v+diff+diff2
			line2[i], line3[i] = v+sum-sum2, v+diff-diff2
		}
		dull = [4]float64{y0, y1, y2, y3}
		for k := range at {
			if at[k] += frames; at[k] == len(line[k]) {
				at[k] = 0
			}
		}
		start += frames
	}
}
