// What every frame source must keep, and beds in memory to try it with.

package stream

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// source is an endless loop of interleaved stereo frames.
type source interface {
	ReadFrames(dst []float32, pos int64) error
}

// testSource checks that src, of frames frames a turn, gives the same frames to
// the bit from any position, however far before or beyond, in whatever pieces.
func testSource(t *testing.T, src source, frames int64) {
	t.Helper()
	turn := make([]float32, 2*frames)
	if err := src.ReadFrames(turn, 0); err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		pos := rapid.OneOf(
			rapid.Int64Range(-3*frames, 3*frames),
			rapid.Int64Range(-8, 8),
			rapid.Int64Range(math.MinInt64, math.MaxInt64-1<<20),
		).Draw(t, "pos")
		pieces := rapid.SliceOfN(rapid.OneOf(rapid.IntRange(0, 3), rapid.IntRange(1, 5000)), 1, 6).Draw(t, "pieces")
		first := (pos%frames + frames) % frames
		for _, n := range pieces {
			got := slices.Repeat([]float32{99}, 2*n)
			if err := src.ReadFrames(got, pos); err != nil {
				t.Fatal(err)
			}
			for k, sample := range got {
				if want := turn[(2*first+int64(k))%(2*frames)]; sample != want {
					t.Fatalf("piece of %d frames at %d, frame %d: %v, want %v", n, pos, k/2, sample, want)
				}
			}
			pos, first = pos+int64(n), (first+int64(n))%frames
		}
	})
}

// memoryBed computes its frames; reading outside of it is an error.
type memoryBed struct {
	name   string
	frames int64
	rateHz int
	at     func(pos int64) (left, right float32)
}

func (b *memoryBed) Name() string  { return b.name }
func (b *memoryBed) Frames() int64 { return b.frames }
func (b *memoryBed) Mono() bool    { return false }
func (b *memoryBed) RateHz() int   { return b.rateHz }

func (b *memoryBed) ReadStereo(dst []float32, pos int64) error {
	if end := pos + int64(len(dst)/2); pos < 0 || end > b.frames {
		return fmt.Errorf("%s: frames %d to %d of %d", b.name, pos, end, b.frames)
	}
	for k := 0; k < len(dst); k += 2 {
		dst[k], dst[k+1] = b.at(pos + int64(k/2))
	}
	return nil
}

// sliceBed is a bed of the frames given.
func sliceBed(name string, rateHz int, data []float32) *memoryBed {
	return &memoryBed{name, int64(len(data) / 2), rateHz, func(pos int64) (float32, float32) {
		return data[2*pos], data[2*pos+1]
	}}
}

// toneBed is a sine of level 0.5, the right side a quarter of a period behind.
func toneBed(name string, rateHz int, frames int64, hz float64) *memoryBed {
	return &memoryBed{name, frames, rateHz, func(pos int64) (float32, float32) {
		sin, cos := math.Sincos(2 * math.Pi * hz * float64(pos) / float64(rateHz))
		return float32(0.5 * sin), float32(-0.5 * cos)
	}}
}

// noise is Gaussian white noise of power 0.01, the same for the same seed.
func noise(seed uint64, frames int) []float32 {
	random := rand.New(rand.NewPCG(seed, 1))
	data := make([]float32, 2*frames)
	for i := range data {
		data[i] = float32(0.1 * random.NormFloat64())
	}
	return data
}

func newCycle(t testing.TB, overlapFrames, bedFrames int64, beds ...Bed) *Cycle {
	t.Helper()
	cycle, err := NewCycle(beds, beds[0].RateHz(), overlapFrames, bedFrames)
	if err != nil {
		t.Fatal(err)
	}
	return cycle
}

func readFrames(t testing.TB, src source, pos int64, frames int64) []float32 {
	t.Helper()
	data := make([]float32, 2*frames)
	if err := src.ReadFrames(data, pos); err != nil {
		t.Fatal(err)
	}
	return data
}
