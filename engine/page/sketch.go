// Small pictures of takes: level and spectrum over time, as bytes that the page draws.

package page

import (
	"errors"
	"math"
	"net/http"
	"os"
	"path"
	"path/filepath"
	"sync"

	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
)

const (
	sketchColumns = 64 // at most; a short take has fewer
	sketchBands   = 12 // equally wide in auditory bands
	sketchLowHz   = 80
	sketchHighHz  = 12000
	sketchFrames  = 1024 // of a spectrum
	sketchHop     = 256
	sketchThinned = 2000 // spectra after which only every eighth is taken
	sketchLevelDB = 48   // below the loudest column, nothing is drawn
	sketchBandDB  = 30   // below the strongest band of a column
	mostSketches  = 4096 // that are kept, of some 800 bytes each
)

// takeFile is where a take lies.
type takeFile struct {
	path string // in the folder of takes
	span decode.Span
}

// sketches keeps the pictures that were made.
type sketches struct {
	making chan struct{} // one at a time
	mu     sync.Mutex
	made   map[sketchOf][]byte
}

// sketchOf tells a picture from those of the same take as it was.
type sketchOf struct {
	takeFile
	fileStamp
}

// sketch serves the picture of a take: the numbers of columns and bands, a byte each; the level of each column; the
// bands of each column, from low to high.
func (p *Page) sketch(w http.ResponseWriter, r *http.Request) {
	take, known := p.sheet.file(r.URL.Query().Get("take"))
	if !known {
		http.Error(w, "the sheet has no such take", http.StatusNotFound)
		return
	}
	select {
	case p.sketches.making <- struct{}{}:
		defer func() { <-p.sketches.making }()
	case <-r.Context().Done():
		return
	}
	bytes, err := p.sketchOfTake(take)
	if err != nil {
		http.Error(w, "this take cannot be read", http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	w.Write(bytes)
}

// sketchOfTake reads a take through the project's folder, out of which no link leads.
func (p *Page) sketchOfTake(take takeFile) ([]byte, error) {
	root, err := os.OpenRoot(p.settings.Dir)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	name := filepath.FromSlash(path.Join(project.TakesFolder, take.path))
	info, err := root.Stat(name) // before opening: opening a pipe would wait for its writer
	if err != nil || !info.Mode().IsRegular() {
		return nil, errors.Join(err, os.ErrInvalid)
	}
	key := sketchOf{take, fileStamp{info.ModTime(), info.Size()}}
	p.sketches.mu.Lock()
	made := p.sketches.made[key]
	p.sketches.mu.Unlock()
	if made != nil {
		return made, nil
	}
	file, err := root.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	s := sketcher{}
	if _, err := decode.WalkOpen(file, info.Size(), filepath.Join(p.settings.Dir, name), take.span, &s); err != nil {
		return nil, err
	}
	made = s.bytes()
	p.sketches.mu.Lock()
	defer p.sketches.mu.Unlock()
	if len(p.sketches.made) >= mostSketches {
		clear(p.sketches.made)
	}
	p.sketches.made[key] = made
	return made, nil
}

// sketcher hears a take.
type sketcher struct {
	rateHz   int
	waiting  []float32 // of both sides together
	spectrum *sound.Spectrum
	levels   []float64              // mean square of each hop
	bands    [][sketchBands]float64 // power in each band, the same
}

// Begin forgets what came before.
func (s *sketcher) Begin(form *decode.Sound, _ int64) error {
	*s = sketcher{rateHz: form.RateHz, spectrum: sound.NewSpectrum(sketchFrames)}
	return nil
}

// Add takes in a block.
func (s *sketcher) Add(block [][]float32) error {
	for i := range block[0] {
		var sum float32
		for _, channel := range block {
			sum += channel[i]
		}
		s.waiting = append(s.waiting, sum/float32(len(block)))
	}
	at := 0
	for ; at+sketchFrames <= len(s.waiting); at += sketchHop {
		s.hear(s.waiting[at:])
	}
	s.waiting = append(s.waiting[:0], s.waiting[at:]...)
	return nil
}

// hear measures a hop and the spectrum that begins with it.
func (s *sketcher) hear(from []float32) {
	s.levels = append(s.levels, sound.MeanSquare(from[:min(sketchHop, len(from))]))
	var bands [sketchBands]float64
	if n := len(s.bands); n > sketchThinned && n%8 != 0 {
		s.bands = append(s.bands, s.bands[n-1])
		return
	}
	low := sound.ERBNumber(sketchLowHz)
	wide := (sound.ERBNumber(sketchHighHz) - low) / sketchBands
	for i, power := range s.spectrum.At(from[:min(sketchFrames, len(from))], sketchFrames/2) {
		hz := float64(i) * float64(s.rateHz) / sketchFrames
		if band := math.Floor((sound.ERBNumber(hz) - low) / wide); i > 0 && band < sketchBands {
			bands[int(max(band, 0))] += power
		}
	}
	s.bands = append(s.bands, bands)
}

// bytes is the picture.
func (s *sketcher) bytes() []byte {
	for ; len(s.waiting) > 0; s.waiting = s.waiting[min(sketchHop, len(s.waiting)):] {
		s.hear(s.waiting)
	}
	columns := min(sketchColumns, len(s.levels))
	levels, bands := make([]float64, columns), make([][sketchBands]float64, columns)
	loudest := 0.0
	for i, level := range s.levels {
		column := i * columns / len(s.levels)
		levels[column] = max(levels[column], level)
		loudest = max(loudest, level)
		for band, power := range s.bands[i] {
			bands[column][band] += power
		}
	}
	out := []byte{byte(columns), sketchBands}
	for _, level := range levels {
		out = append(out, shade(level, loudest, sketchLevelDB))
	}
	for _, column := range bands {
		strongest := 0.0
		for _, power := range column {
			strongest = max(strongest, power)
		}
		for _, power := range column {
			out = append(out, shade(power, strongest, sketchBandDB))
		}
	}
	return out
}

// shade is 255 for the most, and 0 so many dB below it.
func shade(power, most, rangeDB float64) byte {
	if power <= 0 || most <= 0 {
		return 0
	}
	return byte(255 * max(0, 1+sound.PowerDB(power/most)/rangeDB))
}
