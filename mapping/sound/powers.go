// Levels of samples, in full scale and its square.

package sound

import "math"

// MeanSquare is the mean square of the samples; 0 of none.
func MeanSquare(samples []float32) float64 {
	sum := 0.0
	for _, x := range samples {
		sum += float64(x) * float64(x)
	}
	return sum / float64(max(1, len(samples)))
}

// Mean is the mean of the samples, their offset from 0; 0 of none.
func Mean(samples []float32) float64 {
	sum := 0.0
	for _, x := range samples {
		sum += float64(x)
	}
	return sum / float64(max(1, len(samples)))
}

// Peak is the largest absolute value among the samples. Without their signs, floating-point numbers are in the order
// of their bits, which is quicker to tell.
func Peak(samples []float32) float32 {
	const sign = 1 << 31
	var tops [4]uint32 // so that no sample waits for the one before it
	for ; len(samples) >= len(tops); samples = samples[len(tops):] {
		tops[0] = max(tops[0], math.Float32bits(samples[0])&^sign)
		tops[1] = max(tops[1], math.Float32bits(samples[1])&^sign)
		tops[2] = max(tops[2], math.Float32bits(samples[2])&^sign)
		tops[3] = max(tops[3], math.Float32bits(samples[3])&^sign)
	}
	for _, x := range samples {
		tops[0] = max(tops[0], math.Float32bits(x)&^sign)
	}
	return math.Float32frombits(max(tops[0], tops[1], tops[2], tops[3]))
}

// SumsOfProducts gives, over all frames of two channels alike long, the sums of left·left, right·right and left·right:
// their correlation, balance and width follow from these.
func SumsOfProducts(left, right []float32) (leftLeft, rightRight, leftRight float64) {
	for i, l := range left {
		x, y := float64(l), float64(right[i])
		leftLeft += x * x
		rightRight += y * y
		leftRight += x * y
	}
	return leftLeft, rightRight, leftRight
}
