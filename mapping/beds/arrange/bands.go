// Auditory bands: how much of a sound falls into each, block by block.

package arrange

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	erbBands    = 40   // one ERB wide each, from erbFirst on: 26 Hz to 18.6 kHz
	erbFirst    = 1    // on the ERB-number scale
	blockSec    = 0.1  // one spectrum for each
	spectrumSec = 0.04 // over about so long
)

// BandHz returns the middle of a band.
func BandHz(band int) float64 { return sound.ERBHz(erbFirst + float64(band) + 0.5) }

// Bands are the powers of a sound in auditory bands, one row for each block; the last block may reach beyond the end
// of the sound.
type Bands struct {
	BlockSec float64
	Blocks   [][erbBands]float64
	heard    *[erbBands]float64 // weights of the K filter
}

// bander measures bands; one goroutine's.
type bander struct {
	rateHz    int
	hop       int
	window    []float32
	bandOf    []int // by bin, −1: outside
	plan      *sound.FFT
	points    []sound.Complex // two blocks, as real and imaginary parts; then their spectra
	kWeights  [erbBands]float64
	normalise float64
}

func newBander(rateHz int) *bander {
	size := 1 << max(int(math.Round(math.Log2(spectrumSec*float64(rateHz)))), 4)
	b := &bander{rateHz: rateHz, hop: max(int(math.Round(blockSec*float64(rateHz))), 1)}
	b.window = make([]float32, size)
	squares := 0.0
	for i := range b.window {
		w := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(size))
		b.window[i] = float32(w)
		squares += w * w
	}
	b.normalise = 2 / (squares * float64(size)) // Parseval: the bins' sum is the mean square
	b.plan, b.points = sound.NewFFT(size), make([]sound.Complex, size)
	b.bandOf = make([]int, size/2)
	for bin := range b.bandOf {
		hz := float64(bin) * float64(rateHz) / float64(size)
		b.bandOf[bin] = int(math.Floor(sound.ERBNumber(hz) - erbFirst))
		if b.bandOf[bin] < 0 || b.bandOf[bin] >= erbBands {
			b.bandOf[bin] = -1
		}
	}
	for k := range b.kWeights {
		b.kWeights[k] = kWeight(BandHz(k), rateHz)
	}
	return b
}

// kWeight asks the loudness meter how it weighs a frequency: the power that comes out for a power of 1.
func kWeight(hz float64, rateHz int) float64 {
	if hz >= float64(rateHz)/2 {
		return 0
	}
	sine := make([]float32, rateHz/5)
	for i := range sine {
		sine[i] = float32(math.Sin(2 * math.Pi * hz * float64(i) / float64(rateHz)))
	}
	m := sound.NewMeter(rateHz, []float64{1})
	m.Add(sine)
	return 2 * sound.SquareOfLUFS(m.LevelLUFS())
}

// measure returns the bands of stereo sound. Each block's spectrum is that of the two channels along the direction in
// which they vary most, brought to the power of both: one transform for two channels, exact for anything that is
// panned.
func (b *bander) measure(s *stem, frames int) Bands {
	bands := Bands{BlockSec: float64(b.hop) / float64(b.rateHz), heard: &b.kWeights}
	blocks := (frames + b.hop - 1) / b.hop
	bands.Blocks = make([][erbBands]float64, blocks)
	for k := 0; k < blocks; k += 2 {
		clear(b.points)
		first := b.take(s, frames, k, func(i int, v float32) { b.points[i].Re = v })
		second := b.take(s, frames, k+1, func(i int, v float32) { b.points[i].Im = v })
		if first == 0 && second == 0 {
			continue
		}
		b.plan.Forward(b.points)
		b.addBins(&bands.Blocks[k], first, 1)
		if k+1 < blocks {
			b.addBins(&bands.Blocks[k+1], second, -1)
		}
	}
	return bands
}

// take puts a block under the window and returns what its powers are to be multiplied by; 0 for silence.
func (b *bander) take(s *stem, frames, block int, put func(i int, v float32)) float64 {
	size := len(b.window)
	from := min(max(block*b.hop+(b.hop-size)/2, 0), frames)
	left := s.left[from:min(from+size, frames)]
	right := s.right[from:][:len(left)]
	var ll, rr, lr float32
	for i, l := range left {
		r := right[i]
		ll += l * l
		rr += r * r
		lr += l * r
	}
	if ll+rr < 1e-20 {
		return 0
	}
	sin, cos := math.Sincos(0.5 * math.Atan2(2*float64(lr), float64(ll)-float64(rr)))
	along := float64(ll)*cos*cos + 2*float64(lr)*sin*cos + float64(rr)*sin*sin
	c, d := float32(cos), float32(sin)
	for i, l := range left {
		put(i, b.window[i]*(c*l+d*right[i]))
	}
	return b.normalise * float64(ll+rr) / along
}

// addBins sorts one of the two spectra into bands: of real signals transformed as one complex one, the spectra are the
// parts of it that are symmetric (sign 1) and antisymmetric (sign −1) about the middle.
func (b *bander) addBins(out *[erbBands]float64, scale float64, sign float32) {
	if scale == 0 {
		return
	}
	for bin := 1; bin < len(b.bandOf); bin++ {
		band := b.bandOf[bin]
		if band < 0 {
			continue
		}
		x, y := b.points[b.plan.Place[bin]], b.points[b.plan.Place[len(b.points)-bin]]
		re, im := x.Re+sign*y.Re, x.Im-sign*y.Im
		out[band] += float64(re*re + im*im)
	}
	for band := range out {
		out[band] *= scale / 4
	}
}

// heardPower is the mean K-weighted power of all blocks.
func (b *Bands) heardPower() float64 {
	sum := 0.0
	for k := range b.Blocks {
		for band, p := range b.Blocks[k] {
			sum += p * b.heard[band]
		}
	}
	return sum / float64(len(b.Blocks))
}

// scale multiplies all powers.
func (b *Bands) scale(power float64) {
	for k := range b.Blocks {
		for band := range b.Blocks[k] {
			b.Blocks[k][band] *= power
		}
	}
}
