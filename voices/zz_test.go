package voices

import (
	"fmt"
	"math"
	"testing"
	"time"
)

func TestZZ(t *testing.T) {
	for q := Economy; q <= Best; q++ {
		t0 := time.Now()
		m, err := NewMixer(q, AVX2, 16)
		if err != nil {
			t.Fatal(err)
		}
		b, a := m.Reach()
		n := 0
		for _, x := range m.tables {
			n += len(x.rows)*4
		}
		fmt.Println(q, time.Since(t0), len(m.tables), b, a, n)
	}
}

func BenchmarkHot(b *testing.B) {
	for q := Economy; q <= Best; q++ {
		for _, a := range []Arithmetic{AVX2, Portable} {
			b.Run(fmt.Sprint(q, a), func(b *testing.B) {
				m, _ := NewMixer(q, a, 1)
				src := make([]float32, 2*16384)
				for i := range src {
					src[i] = float32(math.Sin(float64(i)))
				}
				dst := make([]float32, 128)
				step := uint64(math.Exp2(-5.0/12) * unitStep)
				pos := uint64(100) << 32
				for b.Loop() {
					pos, _ = m.Mix(dst, src, pos, step, 0, .1, .2)
					if pos>>32 > 16000 {
						pos -= 15000 << 32
					}
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/64, "ns/frame")
			})
		}
	}
}
