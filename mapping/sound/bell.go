// A bell: what lies around one frequency is raised or lowered.

package sound

import "math"

// Bell designs a section that changes the level at a middle by so many dB and leaves what is far from it alone. middle
// is in cycles a frame (0 to 0.5, both excluded); q is the middle over the width between the points of half the change
// in dB (peaking equaliser of the Audio EQ Cookbook, W3C Working Group Note 2021).
func Bell(middle, q, db float64) Section {
	sin, cos := math.Sincos(2 * math.Pi * middle)
	amplitude := math.Pow(10, db/40)
	alpha := sin / (2 * q)
	a0 := 1 + alpha/amplitude
	return Section{(1 + alpha*amplitude) / a0, -2 * cos / a0, (1 - alpha*amplitude) / a0, -2 * cos / a0,
		(1 - alpha/amplitude) / a0}
}
