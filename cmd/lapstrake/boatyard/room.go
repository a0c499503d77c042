// The room a take was recorded in: a small feedback delay network.

package boatyard

import "math"

// room is how large and how hard the place was.
type room struct {
	sizeMetres float64 // about its longest side
	decaySec   float64 // until 60 dB down
	dullHz     float64 // its walls swallow what lies above
	wetDB      float64 // power of the room beside that of the direct sound, were it white
}

// Lengths of the eight paths as shares of the size, far from simple ratios. Fewer or shorter ones would leave the
// room's own tones so far apart that they pull the dying tones of short sounds towards themselves.
var pathShares = [8]float64{2.09, 1.83, 1.619, 1.427, 1.223, 1.049, 0.877, 0.691}

const soundMetresPerSec = 343.0

// smallestHz: below this, rooms, sheds and creeks answer less and less.
const smallestHz = 160.0

// add mixes the room's answer to the performance into s: eight delays that feed one another through a Hadamard
// matrix, each losing per pass what decaySec asks (after Jot & Chaigne 1991).
func (r room) add(s *stereo, p *player) {
	var line [8][]float64
	var keep [8]float64
	kept := 0.0
	pole := math.Exp(-2 * math.Pi * min(r.dullHz, topShare*p.rateHz) / p.rateHz)
	for k := range line {
		frames := int(pathShares[k]*r.sizeMetres/soundMetresPerSec*p.rateHz) + 7*k + 11
		line[k] = p.floats(frames)
		loss := math.Pow(10, -3*float64(frames)/(r.decaySec*p.rateHz))
		keep[k] = loss * (1 - pole)
		kept += loss * loss / float64(len(line))
	}
	// Each line stores 1/(1−kept) times the power fed to it, and each side hears four.
	wet := dB(r.wetDB) * math.Sqrt(1-kept) / 2
	feed := p.space(p.frames)
	slow, share := 0.0, 1-math.Exp(-2*math.Pi*smallestHz/p.rateHz)
	for i, v := range p.mid {
		slow += share * (v - slow)
		feed[i] = v - slow
	}
	var at [8]int
	var dull [8]float64
	for start := 0; start < p.frames; {
		frames := p.frames - start // until the first of the lines comes round
		for k := range line {
			frames = min(frames, len(line[k])-at[k])
		}
		var part [8][]float64
		for k := range part {
			part[k] = line[k][at[k] : at[k]+frames]
		}
		end := start + frames
		pass(s.left[start:end], s.right[start:end], feed[start:end], &part, &keep, &dull, pole, wet)
		for k := range at {
			if at[k] += frames; at[k] == len(line[k]) {
				at[k] = 0
			}
		}
		start = end
	}
}

// pass takes some frames through the lines: what comes out of each is dulled by the wall (one pole), heard on its
// side, mixed with the others and sent in again with the dry sound.
func pass(left, right, dry []float64, line *[8][]float64, keep, dull *[8]float64, pole, wet float64) {
	n := len(dry)
	left, right = left[:n], right[:n]
	l0, l1, l2, l3 := line[0][:n], line[1][:n], line[2][:n], line[3][:n]
	l4, l5, l6, l7 := line[4][:n], line[5][:n], line[6][:n], line[7][:n]
	y0, y1, y2, y3 := dull[0], dull[1], dull[2], dull[3]
	y4, y5, y6, y7 := dull[4], dull[5], dull[6], dull[7]
	const norm = 0.35355339059327373 // 1/√8: the matrix neither adds nor takes energy
	for i, x := range dry {
		y0 = pole*y0 + keep[0]*l0[i]
		y1 = pole*y1 + keep[1]*l1[i]
		y2 = pole*y2 + keep[2]*l2[i]
		y3 = pole*y3 + keep[3]*l3[i]
		y4 = pole*y4 + keep[4]*l4[i]
		y5 = pole*y5 + keep[5]*l5[i]
		y6 = pole*y6 + keep[6]*l6[i]
		y7 = pole*y7 + keep[7]*l7[i]
		left[i] += wet * (y0 + y2 + y4 + y6)
		right[i] += wet * (y1 + y3 + y5 + y7)
		a0, a1, a2, a3 := (y0+y1)*norm, (y0-y1)*norm, (y2+y3)*norm, (y2-y3)*norm
		a4, a5, a6, a7 := (y4+y5)*norm, (y4-y5)*norm, (y6+y7)*norm, (y6-y7)*norm
		b0, b1, b2, b3 := a0+a2, a1+a3, a0-a2, a1-a3
		b4, b5, b6, b7 := a4+a6, a5+a7, a4-a6, a5-a7
		l0[i], l1[i], l2[i], l3[i] = x+b0+b4, x+b1+b5, x+b2+b6, x+b3+b7
		l4[i], l5[i], l6[i], l7[i] = x+b0-b4, x+b1-b5, x+b2-b6, x+b3-b7
	}
	*dull = [8]float64{y0, y1, y2, y3, y4, y5, y6, y7}
}
