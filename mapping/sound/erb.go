// The scale of auditory bands.

package sound

import "math"

// ERBNumber is how many equivalent rectangular bands (ERB) lie below a frequency in hertz (Glasberg & Moore 1990).
func ERBNumber(hz float64) float64 { return 21.4 * math.Log10(1+0.00437*hz) }

// ERBHz is the frequency in hertz below which so many bands lie: the inverse of ERBNumber.
func ERBHz(number float64) float64 { return (math.Pow(10, number/21.4) - 1) / 0.00437 }
