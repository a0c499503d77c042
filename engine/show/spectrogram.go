// What a sound is made of, over time: the power of its bands, dark where it is strong.

package show

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"

	"lapstrake/mapping/sound"
)

const (
	spectrogramHeight = vg.Length(190)
	lowestBandHz      = 40.0
	bandsAnOctave     = 12
	spectrogramBands  = 106  // up to 18 kHz
	mostColumns       = 2400 // twice as many as a picture has pixels for
	shadedDB          = 60.0 // below the strongest band, nothing is seen any more
	shades            = 24   // a picture's palette holds few
	spectrumSec       = 0.17 // of a transform, or somewhat more
)

// Spectrogram measures the bands of a sound as it comes, block by block: twelfths of an octave, narrower than what
// the transform tells apart below some 200 Hz. Long sounds are kept more coarsely in time.
type Spectrogram struct {
	rateHz    int
	spectrum  *sound.Spectrum
	bandOf    []int                  // of each bin, −1 outside
	holds     [spectrogramBands]bool // a bin; a low band that holds none shows what the next one below has
	sides     [2][]float32
	columnSec float64
	columns   [][spectrogramBands]float32 // powers
	each      int                         // spectra that a column is the mean of
	sum       [spectrogramBands]float32   // of the column to come
	summed    int
}

// NewSpectrogram begins to measure a sound of rateHz frames a second.
func NewSpectrogram(rateHz int) *Spectrogram {
	size := 1
	for float64(size) < spectrumSec*float64(rateHz) {
		size *= 2
	}
	s := &Spectrogram{rateHz: rateHz, spectrum: sound.NewSpectrum(size), bandOf: make([]int, size/2+1), each: 1,
		columnSec: 1.0 / cellsPerSec}
	for bin := range s.bandOf {
		octaves := math.Log2(float64(bin) * float64(rateHz) / float64(size) / lowestBandHz)
		s.bandOf[bin] = -1
		if band := math.Floor(bandsAnOctave * octaves); band >= 0 && band < spectrogramBands {
			s.bandOf[bin], s.holds[int(band)] = int(band), true
		}
	}
	return s
}

// Add measures the next interleaved stereo frames.
func (s *Spectrogram) Add(frames []float32) {
	for i := 0; i < len(frames); i += 2 {
		s.sides[0], s.sides[1] = append(s.sides[0], frames[i]), append(s.sides[1], frames[i+1])
	}
	hop := s.rateHz / cellsPerSec
	from := 0
	for ; len(s.sides[0])-from >= max(hop, s.spectrum.SizeFrames); from += hop {
		s.look(from + s.spectrum.SizeFrames/2)
	}
	for side := range s.sides {
		s.sides[side] = append(s.sides[side][:0], s.sides[side][from:]...)
	}
}

// look measures the spectrum around a frame of what is kept of both sides.
func (s *Spectrogram) look(centre int) {
	for _, side := range s.sides {
		for bin, power := range s.spectrum.At(side, centre) {
			if band := s.bandOf[bin]; band >= 0 {
				s.sum[band] += float32(power)
			}
		}
	}
	if s.summed++; s.summed < s.each {
		return
	}
	s.columns = append(s.columns, mean(s.sum, s.each))
	s.sum, s.summed = [spectrogramBands]float32{}, 0
	if len(s.columns) == mostColumns {
		for k := range mostColumns / 2 {
			for band := range spectrogramBands {
				s.columns[k][band] = (s.columns[2*k][band] + s.columns[2*k+1][band]) / 2
			}
		}
		s.columns, s.each, s.columnSec = s.columns[:mostColumns/2], 2*s.each, 2*s.columnSec
	}
}

func mean(sum [spectrogramBands]float32, of int) [spectrogramBands]float32 {
	for band := range sum {
		sum[band] /= float32(of)
	}
	return sum
}

// panel draws the bands upwards.
func (s *Spectrogram) panel(seconds float64) panel {
	p := newPanel("What it is made of: dark where it is strong, in octaves upwards", spectrogramHeight,
		timeTicks{}, timeLabel(seconds))
	picture := image.NewRGBA(image.Rect(0, 0, len(s.columns), spectrogramBands))
	strongest := float32(0)
	for k := range s.columns {
		for _, power := range s.columns[k] {
			strongest = max(strongest, power)
		}
	}
	for k := range s.columns {
		power := s.columns[k][0]
		for band := range s.columns[k] {
			if s.holds[band] {
				power = s.columns[k][band]
			}
			below := sound.PowerDB(float64(strongest) / max(float64(power), 1e-30))
			picture.Set(k, spectrogramBands-1-band, shade(1-below/shadedDB))
		}
	}
	top := float64(spectrogramBands) / bandsAnOctave
	p.plot.Add(plotter.NewImage(picture, 0, 0, float64(len(s.columns))*s.columnSec, top))
	p.plot.X.Min, p.plot.X.Max, p.plot.Y.Min, p.plot.Y.Max = 0, seconds, 0, top
	p.plot.Y.Tick.Marker = hertzTicks()
	return p
}

// shade is the ink of a part from 0, white, to 1.
func shade(part float64) color.Color {
	part = math.Round(min(max(part, 0), 1)*shades) / shades
	r, g, b, _ := lineInk[0].Light.RGBA()
	blend := func(ink uint32) uint8 { return uint8(255 - part*(255-float64(ink>>8))) }
	return color.RGBA{blend(r), blend(g), blend(b), 255}
}

// hertzTicks name some frequencies on an axis in octaves above the lowest.
func hertzTicks() plot.ConstantTicks {
	var ticks plot.ConstantTicks
	for _, hz := range []float64{100, 300, 1000, 3000, 10000} {
		label := fmt.Sprintf("%.0f Hz", hz)
		if hz >= 1000 {
			label = fmt.Sprintf("%.0f kHz", hz/1000)
		}
		ticks = append(ticks, plot.Tick{Value: math.Log2(hz / lowestBandHz), Label: label})
	}
	return ticks
}
