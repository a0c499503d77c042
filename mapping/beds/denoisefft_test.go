package beds

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

// The general library's transform is the slow, obvious one to check against.
func TestFFTMatchesLibrary(t *testing.T) {
	for size := 4; size <= 1<<14; size *= 2 {
		chance := rand.New(rand.NewPCG(uint64(size), 0))
		x, want := make([]point, size), make([]complex128, size)
		for i := range x {
			x[i] = point{float32(chance.NormFloat64()), float32(chance.NormFloat64())}
			want[i] = complex(float64(x[i].re), float64(x[i].im))
		}
		before := append([]point(nil), x...)
		spectrum := fourier.NewCmplxFFT(size).Coefficients(nil, want)
		f := newFFT(size)
		f.forward(x)
		tolerance := 1e-6 * math.Sqrt(float64(size)) * math.Log2(float64(size))
		for k, z := range spectrum {
			got := x[f.place[k]]
			if cmplx.Abs(complex(float64(got.re), float64(got.im))-z) > tolerance {
				t.Fatalf("size %d, bin %d: %v, want %v", size, k, got, z)
			}
		}
		f.back(x)
		for i, p := range x {
			re, im := float64(p.re)/float64(size), float64(p.im)/float64(size)
			if math.Abs(re-float64(before[i].re)) > 1e-5 || math.Abs(im-float64(before[i].im)) > 1e-5 {
				t.Fatalf("size %d, point %d: %v %v there and back, was %v", size, i, re, im, before[i])
			}
		}
	}
}

func BenchmarkFFT(b *testing.B) {
	for _, size := range []int{2048, 4096} {
		b.Run(fmt.Sprintf("ours/%d", size), func(b *testing.B) {
			f, x := newFFT(size), make([]point, size)
			for b.Loop() {
				f.forward(x)
				f.back(x)
			}
		})
		b.Run(fmt.Sprintf("library/%d", size), func(b *testing.B) {
			f, x := fourier.NewCmplxFFT(size), make([]complex128, size)
			for b.Loop() {
				f.Coefficients(x, x)
				f.Sequence(x, x)
			}
		})
	}
}
