package sound

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
		x, want := make([]Complex, size), make([]complex128, size)
		for i := range x {
			x[i] = Complex{float32(chance.NormFloat64()), float32(chance.NormFloat64())}
			want[i] = complex(float64(x[i].Re), float64(x[i].Im))
		}
		before := append([]Complex(nil), x...)
		spectrum := fourier.NewCmplxFFT(size).Coefficients(nil, want)
		f := NewFFT(size)
		f.Forward(x)
		tolerance := 1e-6 * math.Sqrt(float64(size)) * math.Log2(float64(size))
		for k, z := range spectrum {
			got := x[f.Place[k]]
			if cmplx.Abs(complex(float64(got.Re), float64(got.Im))-z) > tolerance {
				t.Fatalf("size %d, bin %d: %v, want %v", size, k, got, z)
			}
		}
		f.Back(x)
		for i, p := range x {
			re, im := float64(p.Re)/float64(size), float64(p.Im)/float64(size)
			if math.Abs(re-float64(before[i].Re)) > 1e-5 || math.Abs(im-float64(before[i].Im)) > 1e-5 {
				t.Fatalf("size %d, point %d: %v %v there and back, was %v", size, i, re, im, before[i])
			}
		}
	}
}

func BenchmarkFFT(b *testing.B) {
	for _, size := range []int{2048, 4096} {
		b.Run(fmt.Sprintf("ours/%d", size), func(b *testing.B) {
			f, x := NewFFT(size), make([]Complex, size)
			for b.Loop() {
				f.Forward(x)
				f.Back(x)
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
