// Small projects that the tests of the player make, and how they play and measure them.

package engine

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/dsp/window"

	"lapstrake/mapping"
	"lapstrake/mapping/wav"
)

// project is a folder of beds and the map that plays them.
type project struct {
	testing.TB
	dir    string
	format wav.Format // of the beds
	*mapping.Map
}

// newProject has no zones yet, no headroom, and short times.
func newProject(t testing.TB) *project {
	m := mapping.New()
	m.OverlapSec, m.AttackSec, m.ReleaseSec, m.HeadroomDB, m.Polyphony = 0.1, 0.01, 0.05, 0, 32
	return &project{t, t.TempDir(), wav.Float, m}
}

// bed writes a bed and returns its path in the project.
func (p *project) bed(name string, stereo []float32) string {
	p.Helper()
	w, err := wav.Create(filepath.Join(p.dir, name), testRateHz, 2, p.format)
	if err != nil {
		p.Fatal(err)
	}
	defer w.Discard()
	if err := w.WriteFrames(stereo); err != nil {
		p.Fatal(err)
	}
	if err := w.Commit(); err != nil {
		p.Fatal(err)
	}
	return name
}

// zone adds a zone from two octaves below its root to one above; each of beds serves all strands of one layer.
func (p *project) zone(rank string, root int, start float64, beds ...string) {
	z := mapping.Zone{Rank: rank, Root: root, Low: max(root-24, 0), High: min(root+12, 127), Start: start,
		Beds: map[string][]string{}}
	for i, layer := range p.Layers {
		for range p.Strands {
			z.Beds[layer] = append(z.Beds[layer], beds[i])
		}
	}
	p.Zones = append(p.Zones, z)
}

func (p *project) path() string { return filepath.Join(p.dir, mapping.FileName) }

// save writes the map.
func (p *project) save() {
	p.Helper()
	if err := p.Save(p.path()); err != nil {
		p.Fatal(err)
	}
}

// open saves the map and opens it.
func (p *project) open(s Settings) *Engine {
	p.Helper()
	if s.MemoryBytes == 0 {
		s.MemoryBytes = 24 << 20
	}
	p.save()
	e, err := Open(p.path(), s)
	if err != nil {
		p.Fatal(err)
	}
	p.Cleanup(func() {
		if err := e.Close(); err != nil {
			p.Error(err)
		}
	})
	return e
}

// sineProject plays one sine of 440 Hz, A4 in ISO 16:1975, in one layer: 0.9 s hold 396 whole periods, so
// that the cycle is an endless sine.
func sineProject(t testing.TB, level float64) *project {
	p := newProject(t)
	p.Layers = []string{"one"}
	p.zone("only", 69, 0.1, p.bed("sine.wav", sineOf(testRateHz, 440, 0, level)))
	return p
}

// play renders events in blocks, reading ahead before each, without the latency.
func play(e *Engine, frames int, events ...Event) []float32 {
	list := NewList(events)
	out := make([]float32, 2*(frames+e.LatencyFrames()))
	for at := 0; at < len(out); at += 1024 {
		e.Fill()
		e.Render(out[at:min(at+1024, len(out))], list)
	}
	return out[2*e.LatencyFrames():]
}

// seconds gives a time as frames.
func seconds(sec float64) int { return int(math.Round(sec * testRateHz)) }

// leftOf returns the left channel from a time on, for so long.
func leftOf(stereo []float32, fromSec, lastsSec float64) []float64 {
	from := seconds(fromSec)
	left := make([]float64, seconds(lastsSec))
	for i := range left {
		left[i] = float64(stereo[2*(from+i)])
	}
	return left
}

// outsideDB is the level of the strongest spectral line outside lowHz to highHz, relative to the strongest inside,
// through a Blackman-Harris window over all of x (side lobes under −92 dB).
func outsideDB(x []float64, lowHz, highHz float64) float64 {
	x = window.BlackmanHarris(append([]float64(nil), x...))
	fft := fourier.NewFFT(len(x))
	var inside, outside float64
	for i, c := range fft.Coefficients(nil, x) {
		if hz := fft.Freq(i) * testRateHz; hz >= lowHz && hz <= highHz {
			inside = max(inside, cmplx.Abs(c))
		} else {
			outside = max(outside, cmplx.Abs(c))
		}
	}
	return 20 * math.Log10(outside/inside)
}

// largestSteps returns the largest first and second difference of the left channel.
func largestSteps(stereo []float32) (first, second float64) {
	for i := 4; i < len(stereo); i += 2 {
		d1 := float64(stereo[i]) - float64(stereo[i-2])
		d0 := float64(stereo[i-2]) - float64(stereo[i-4])
		first, second = max(first, math.Abs(d1)), max(second, math.Abs(d1-d0))
	}
	return first, second
}

// noiseOf is white noise, both channels apart.
func noiseOf(frames int, seed uint64, peak float64) []float32 {
	random := rand.New(rand.NewPCG(seed, 1))
	return stereoOf(frames, func(int) (left, right float64) {
		return peak * (2*random.Float64() - 1), peak * (2*random.Float64() - 1)
	})
}

func requireNear(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.5f, expected %.5f ± %g", what, got, want, tolerance)
	}
}
