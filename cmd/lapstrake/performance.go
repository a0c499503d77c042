// Renders a performance into a WAV file and a picture, and prints what it measured.

package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"lapstrake/engine"
	"lapstrake/engine/audible"
	"lapstrake/engine/show"
	"lapstrake/mapping/wav"
	"lapstrake/mapping/whole"
)

// performance is what is played, without a clock, into a file.
type performance struct {
	show.Performance
	sound io.Writer       // takes the sound where it goes to standard output
	title string          // of the picture
	chord *show.Chord     // for the picture; nil for a score
	moves []engine.Event  // for the picture: of the dynamics, where they move
	who   *audible.Ledger // for the picture; nil where nobody knows who is heard
}

// soundFigures are the figures of what was rendered.
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

// render plays the performance into the file that o names. It leaves nothing behind if it fails.
func (p *performance) render(s streams, o *outputOptions) (*soundFigures, error) {
	format, err := wav.ParseFormat(o.format)
	if err != nil {
		return nil, err
	}
	rateHz := p.Engine.Map().RateHz
	if err := wav.CheckLength(o.path, rateHz, 2, format, p.LongestFrames()); err != nil {
		return nil, err
	}
	writer, err := p.createSound(o, format)
	if err != nil {
		return nil, err
	}
	defer writer.Discard()
	began := time.Now()
	levels, heard := show.NewLevels(rateHz), p.listener()
	var bands *show.Spectrogram
	if o.picture != "" {
		bands = show.NewSpectrogram(rateHz)
	}
	bar := newProgress(s.notices, "rendering")
	played, err := p.Play(func(frames []float32) error {
		heard.at(levels.Seconds())
		levels.Add(frames)
		if bands != nil {
			bands.Add(frames)
		}
		return writer.WriteFrames(frames)
	}, bar.show)
	bar.end()
	if err != nil {
		return nil, err
	}
	if o.picture != "" {
		picture := &show.Picture{Title: p.title, Levels: levels, Bands: bands, Chord: p.chord,
			Heard: &heard.heard, Moves: p.moves}
		if err := writePicture(o.picture, picture); err != nil {
			return nil, err
		}
	}
	level := levels.Whole()
	return &soundFigures{
		Seconds: levels.Seconds(), PeakDBFS: level.PeakDBFS, RMSDBFS: level.RMSDBFS,
		Voices: played.MostVoices, Stolen: played.StolenNotes, Clipped: writer.Clipped(),
		Output: o.path, Picture: o.picture, speed: levels.Seconds() / time.Since(began).Seconds(),
	}, writer.Commit()
}

// listener notes who is heard while a performance is played.
type listener struct {
	performance *performance
	heard       show.Heard
	nextSec     float64
	sounding    engine.Snapshot
}

func (p *performance) listener() *listener {
	return &listener{performance: p, heard: show.Heard{StepSec: 0.25}}
}

func (l *listener) at(sec float64) {
	if l.performance.who == nil || sec < l.nextSec {
		return
	}
	l.nextSec += l.heard.StepSec
	l.performance.Engine.Snapshot(&l.sounding)
	var all []show.HeardOne
	for _, take := range l.performance.who.Now(l.sounding.Cycles) {
		all = append(all, show.HeardOne{Name: take.Who(), Strand: take.Bed, Sones: take.Sones})
	}
	l.heard.Add(all)
}

// soundWriter takes the frames of a performance: a file that appears whole, or a stream.
type soundWriter interface {
	WriteFrames(interleaved []float32) error
	Clipped() int64
	Commit() error
	Discard()
}

func (p *performance) createSound(o *outputOptions, format wav.Format) (soundWriter, error) {
	rateHz := p.Engine.Map().RateHz
	if o.toStandardOutput() {
		return wav.NewStream(p.sound, standardOutput, rateHz, 2, format)
	}
	return wav.Create(o.path, rateHz, 2, format)
}

// writePicture writes a PNG, or an SVG where the file's name says so.
func writePicture(path string, picture show.Drawing) error {
	out, err := whole.Create(path)
	if err != nil {
		return err
	}
	defer out.Discard()
	write := show.WritePNG
	if strings.EqualFold(filepath.Ext(path), ".svg") {
		write = show.WriteSVG
	}
	if err := write(out, picture); err != nil {
		return err
	}
	return out.Commit()
}

// print writes the figures for a person.
func (f *soundFigures) print(s streams) {
	name := f.Output
	if name == "-" {
		name = standardOutput
	}
	fmt.Fprintf(s.out, "%s: %s, peak %.1f dBFS, level %.1f dBFS RMS, up to %d voices\n",
		name, minutes(f.Seconds), f.PeakDBFS, f.RMSDBFS, f.Voices)
	if f.Picture != "" {
		fmt.Fprintf(s.out, "%s: level, bands and course over time\n", f.Picture)
	}
	if f.Stolen > 0 {
		s.notice("%d notes were cut short to stay within the map's polyphony", f.Stolen)
	}
	s.notice("rendered at %.0f times real time", f.speed)
}
