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

// bander measures bands. It serves one goroutine at a time.
type bander struct {
	rateHz    int
	hopFrames int
	spectrum  *sound.Spectrum
	block     []float32 // one channel of as many frames as the spectrum takes
	bandOf    []int     // by bin, −1: outside
	kWeights  [erbBands]float64
}

func newBander(rateHz int) *bander {
	b := &bander{
		rateHz: rateHz, hopFrames: max(int(math.Round(blockSec*float64(rateHz))), 1),
		spectrum: sound.NewSpectrum(sound.PowerOfTwo(spectrumSec, rateHz)),
	}
	b.block, b.bandOf = make([]float32, b.spectrum.SizeFrames), make([]int, b.spectrum.SizeFrames/2)
	for bin := range b.bandOf {
		hz := float64(bin) * float64(rateHz) / float64(b.spectrum.SizeFrames)
		b.bandOf[bin] = int(math.Floor(sound.ERBNumber(hz) - erbFirst))
		if bin == 0 || b.bandOf[bin] < 0 || b.bandOf[bin] >= erbBands {
			b.bandOf[bin] = -1
		}
	}
	for k := range b.kWeights {
		b.kWeights[k] = sound.KWeight(BandHz(k), rateHz)
	}
	return b
}

// measure returns the bands of stereo sound. Each block's spectrum is that of the two channels along the direction in
// which they vary most, brought to the power of both: one transform for two channels, exact for anything that is
// panned.
func (b *bander) measure(s *stem, frames int) Bands {
	bands := Bands{BlockSec: float64(b.hopFrames) / float64(b.rateHz), heard: &b.kWeights}
	bands.Blocks = make([][erbBands]float64, (frames+b.hopFrames-1)/b.hopFrames)
	for k := range bands.Blocks {
		scale := b.take(s, frames, k)
		if scale == 0 {
			continue
		}
		power := b.spectrum.At(b.block, b.spectrum.SizeFrames/2)
		for bin, band := range b.bandOf {
			if band >= 0 {
				bands.Blocks[k][band] += scale * power[bin]
			}
		}
	}
	return bands
}

// take fills in the samples of a block and returns what its powers are to be multiplied by; 0 for silence.
func (b *bander) take(s *stem, frames, block int) (scale float64) {
	size := len(b.block)
	from := min(max(block*b.hopFrames+(b.hopFrames-size)/2, 0), frames)
	left := s.left[from:min(from+size, frames)]
	right := s.right[from:][:len(left)]
	ll, rr, lr := sound.SumsOfProducts(left, right)
	if ll+rr < 1e-20 {
		return 0
	}
	sin, cos := math.Sincos(0.5 * math.Atan2(2*lr, ll-rr))
	along := ll*cos*cos + 2*lr*sin*cos + rr*sin*sin
	c, d := float32(cos), float32(sin)
	for i, l := range left {
		b.block[i] = c*l + d*right[i]
	}
	clear(b.block[len(left):])
	return (ll + rr) / along
}

// heardPower is the mean K-weighted power of all blocks.
func (b *Bands) heardPower() float64 {
	sum := 0.0
	for k := range b.Blocks {
		sum += b.blockPower(k)
	}
	return sum / float64(len(b.Blocks))
}

// blockPower is the K-weighted power of a block.
func (b *Bands) blockPower(k int) (power float64) {
	for band, p := range b.Blocks[k] {
		power += p * b.heard[band]
	}
	return power
}

// scale multiplies all powers.
func (b *Bands) scale(power float64) {
	for k := range b.Blocks {
		for band := range b.Blocks[k] {
			b.Blocks[k][band] *= power
		}
	}
}

// mean is the power in each band over all blocks.
func (b *Bands) mean() (mean [erbBands]float64) {
	for k := range b.Blocks {
		for band, p := range &b.Blocks[k] {
			mean[band] += p / float64(len(b.Blocks))
		}
	}
	return mean
}
