//go:build cgo && unix

package jack

import "testing"

// A period of any length is played whole, on the right sides, without an allocation.
func TestPeriodsOfAnyLength(t *testing.T) {
	ramp := 0.0
	render := func(out []float32) {
		for i := range out {
			out[i] = float32(ramp)
			ramp++
		}
	}
	o := &Output{render: render, block: make([]float32, 2*largestPeriod)}
	for _, period := range []int{1, 64, largestPeriod, 2*largestPeriod + 3} {
		ramp = 0
		left, right := make([]float32, period), make([]float32, period)
		o.play(left, right)
		for i := range period {
			if left[i] != float32(2*i) || right[i] != float32(2*i+1) {
				t.Fatalf("period of %d frames: frame %d is %g, %g; want %d, %d", period, i, left[i],
					right[i], 2*i, 2*i+1)
			}
		}
		if n := testing.AllocsPerRun(10, func() { o.play(left, right) }); n != 0 {
			t.Errorf("period of %d frames: %g allocations", period, n)
		}
	}
}
