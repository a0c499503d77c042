package main

import (
	"fmt"
	"math"
	"path/filepath"
	"time"

	"github.com/spf13/pflag"

	"lapstrake/engine"
	"lapstrake/mapping/wav"
)

// outputOptions say where a rendered performance goes.
type outputOptions struct {
	path    string
	format  string
	picture string
	json    bool
}

func (o *outputOptions) addFlags(flags *pflag.FlagSet) {
	flags.StringVarP(&o.path, "output", "o", "", "the WAV `FILE` to write")
	flags.StringVar(&o.format, "format", "24", "samples of the file: 16 (dithered), 24 or float")
	flags.StringVar(&o.picture, "picture", "", "a PNG `FILE` of level over time and of the beds as they take turns")
	flags.BoolVar(&o.json, "json", false, "print the results as JSON")
}

// performance is what is played, without a clock, into a file.
type performance struct {
	player  *engine.Engine
	events  []engine.Event // in order; the last one lets all notes go
	tailSec float64        // longest wait for silence after the last event
	lanes   []lane         // for the picture
}

// soundFigures is what was rendered.
type soundFigures struct {
	Seconds  float64 `json:"seconds"`
	PeakDBFS float64 `json:"peak_dbfs"`
	RMSDBFS  float64 `json:"rms_dbfs"`
	Voices   int     `json:"most_voices"`
	Stolen   int64   `json:"notes_stolen"`
	Clipped  int64   `json:"clipped_samples"`
	Output   string  `json:"output,omitempty"`
	Picture  string  `json:"picture,omitempty"`

	speed float64 // times real time
}

// blockFrames is how much is rendered between two fillings of the rings.
const blockFrames = 256

// render plays the performance into the file that o names. Nothing is left
// behind if it fails.
func (p *performance) render(s streams, o *outputOptions) (*soundFigures, error) {
	format, err := wav.ParseFormat(o.format)
	if err != nil {
		return nil, err
	}
	rateHz := p.player.Map().RateHz
	if err := wav.CheckLength(o.path, rateHz, 2, format, p.limit()); err != nil {
		return nil, err
	}
	writer, err := wav.Create(o.path, rateHz, 2, format)
	if err != nil {
		return nil, err
	}
	defer writer.Discard()
	began := time.Now()
	levels := newLevels(rateHz)
	result := &soundFigures{Output: o.path, Picture: o.picture}
	if err := p.play(s, result, func(block []float32) error {
		levels.add(block)
		return writer.WriteFrames(block)
	}); err != nil {
		return nil, err
	}
	result.Clipped = writer.Clipped()
	result.PeakDBFS, result.RMSDBFS = levels.summary()
	result.Seconds = levels.seconds()
	result.speed = result.Seconds / time.Since(began).Seconds()
	if o.picture != "" {
		if err := drawPicture(o.picture, levels, p.lanes); err != nil {
			return nil, err
		}
	}
	return result, writer.Commit()
}

// last returns the frame of the last event.
func (p *performance) last() int64 { return p.events[len(p.events)-1].Frame }

// limit returns the most frames that the performance can take.
func (p *performance) limit() int64 {
	return p.last() + int64(p.tailSec*float64(p.player.Map().RateHz))
}

// play renders block by block, the ceiling's latency taken off the front, until
// the last event is past and the sound has ended.
func (p *performance) play(s streams, result *soundFigures, take func([]float32) error) error {
	last, limit := p.last(), p.limit()
	events := engine.NewList(p.events)
	skip := int64(p.player.LatencyFrames())
	block := make([]float32, 2*blockFrames)
	bar := newProgress(s.notices, "rendering")
	defer bar.end()
	for frame := -skip; frame < limit; frame += blockFrames {
		p.player.Fill()
		p.player.Render(block, events)
		if err := p.player.ReadError(); err != nil {
			return err
		}
		stats := p.player.Stats()
		result.Voices, result.Stolen = max(result.Voices, stats.Voices), stats.Stolen
		from, to := max(-frame, 0), min(limit-frame, blockFrames)
		if from < to {
			if err := take(block[2*from : 2*to]); err != nil {
				return err
			}
		}
		if frame > last+skip && stats.Voices == 0 {
			break
		}
		bar.show(float64(frame) / float64(limit))
	}
	if misses := p.player.Stats().Misses; misses > 0 {
		return fmt.Errorf("%d reads came late in a render that waits for them: this is a fault of the program", misses)
	}
	return nil
}

// print writes the result for a person.
func (r *soundFigures) print(s streams) {
	fmt.Fprintf(s.out, "%s: %s, peak %.1f dBFS, level %.1f dBFS RMS, up to %d voices\n",
		r.Output, minutes(r.Seconds), r.PeakDBFS, r.RMSDBFS, r.Voices)
	if r.Picture != "" {
		fmt.Fprintf(s.out, "%s: level over time\n", r.Picture)
	}
	if r.Stolen > 0 {
		s.notice("%d notes were cut short to stay within the map's polyphony", r.Stolen)
	}
	s.notice("rendered at %.0f times real time", r.speed)
}

// minutes writes seconds as a person reads a clock.
func minutes(seconds float64) string {
	if seconds < 60 {
		return fmt.Sprintf("%.2f s", seconds)
	}
	whole := int64(math.Round(seconds))
	if whole < 3600 {
		return fmt.Sprintf("%d min %02d s", whole/60, whole%60)
	}
	return fmt.Sprintf("%d h %02d min %02d s", whole/3600, whole/60%60, whole%60)
}

// validate checks the words; a command that only plays into a file needs one.
func (o *outputOptions) validate(needed bool) error {
	if _, err := wav.ParseFormat(o.format); err != nil {
		return wrongWords("--format: %w", err)
	}
	switch {
	case needed && o.path == "":
		return wrongWords("where to? Name the file to write with -o OUT.wav")
	case o.picture != "" && o.path == "":
		return wrongWords("--picture shows what is rendered: name the WAV file too, with -o OUT.wav")
	case o.picture != "" && filepath.Clean(o.picture) == filepath.Clean(o.path):
		return wrongWords("--picture and -o name the same file, %s: choose another one", o.path)
	}
	return nil
}
