// The command hear: a take as it was received, as it was made for a bed, as that bed has it, and the bed.

package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/spf13/pflag"

	"lapstrake/engine/live/output"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/wav"
)

// hearOptions are what hear is told.
type hearOptions struct {
	output outputOptions
	sound  output.Settings
	as     []string
	bed    string
}

func hearCommand() command {
	return command{
		name: "hear", words: "DIR TAKE",
		summary: "play a take: received, made for its bed, and there",
		about: `Plays a take of the sheet in four versions, one after the other and equally loud: as it
was received; as it was made for a bed, so trimmed, cleaned and tuned; as that bed has it,
without the others; and the bed itself. A take that goes into several beds is heard in the
first; --bed names another. With -o the versions go into a WAV file instead, with a second of
silence between them. TAKE is named as in the sheet. Nothing of the project is changed.

Begin with the volume low, on headphones above all, and follow your workplace's rules on
sound levels.`,
		example: `lapstrake hear boatyard wick-samphire/13-cider-bottle-blown-across-F6.wav
  lapstrake hear boatyard wick-samphire/13-cider-bottle-blown-across-F6.wav --as received,made -o bottle.wav`,
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &hearOptions{}
			var all []string
			for _, version := range beds.Versions {
				all = append(all, string(version))
			}
			flags.StringSliceVar(&o.as, "as", all, "the `VERSIONS`, in their order: "+strings.Join(all, ", "))
			offer(flags, "as", all...)
			flags.StringVar(&o.bed, "bed", "", "the `BED` to hear it in, such as soft-a-k048")
			flags.StringVar(&o.sound.Device, "device", "", "output by its `NAME`, a part of it, or its number; the "+
				"default one if not given")
			flags.StringVarP(&o.output.path, "output", "o", "", "the WAV `FILE` to write instead of playing")
			flags.StringVar(&o.output.format, "format", "24", "samples of the file: 16 (dithered), 24 or float")
			flags.BoolVar(&o.output.force, "force", false,
				"replace a file that is there already; never one of a project")
			flags.BoolVar(&o.output.json, "json", false, "print what is heard as JSON")
			return o.run
		},
	}
}

// heardRow is a version as the report shows it.
type heardRow struct {
	Version string  `json:"version"`
	FromSec float64 `json:"from_s"`
	Sec     float64 `json:"length_s"`
	GainDB  float64 `json:"gain_db"`
}

// heardApartSec is the silence between two versions.
const heardApartSec = 1

func (o *hearOptions) run(s streams, args []string) error {
	if len(args) != 2 {
		return wrongWords("hear takes a project and a take; found %d arguments", len(args))
	}
	if err := o.output.validate(false); err != nil {
		return err
	}
	if o.output.toStandardOutput() {
		return wrongWords("-o -: hear writes into files alone: name one, such as -o bottle.wav")
	}
	var versions []beds.Version
	for _, word := range o.as {
		if !slices.Contains(beds.Versions, beds.Version(word)) {
			return wrongWords("--as %s: expected %v", word, beds.Versions)
		}
		versions = append(versions, beds.Version(word))
	}
	dir, take := args[0], takeNamed(args[0], args[1])
	if err := o.output.guard(dir, nil); err != nil {
		return err
	}
	heard, err := beds.Hear(dir, take, o.bed, versions)
	if errors.Is(err, beds.ErrInNoBed) {
		return wrongError{fmt.Errorf("%w: it can be heard with --as %s", err, beds.Received)}
	}
	if err != nil {
		return err
	}
	if o.output.path != "" {
		return o.write(s, take, heard)
	}
	return o.play(s, take, heard)
}

// joined is all versions one after the other at one rate, and what the report says of each.
func joined(heard []beds.HeardTake, rateHz int) (stereo []float32, rows []heardRow) {
	for i, one := range heard {
		if i > 0 {
			stereo = append(stereo, make([]float32, 2*heardApartSec*rateHz)...)
		}
		from := len(stereo) / 2
		stereo = append(stereo, one.AtRate(rateHz)...)
		rows = append(rows, heardRow{string(one.Version), float64(from) / float64(rateHz),
			float64(len(stereo)/2-from) / float64(rateHz), one.GainDB})
	}
	return stereo, rows
}

func (o *hearOptions) write(s streams, take string, heard []beds.HeardTake) error {
	format, err := wav.ParseFormat(o.output.format)
	if err != nil {
		return wordsError{err}
	}
	rateHz := 0
	for _, one := range heard {
		rateHz = max(rateHz, one.RateHz)
	}
	stereo, rows := joined(heard, rateHz)
	file, err := wav.Create(o.output.path, rateHz, 2, format)
	if err != nil {
		return err
	}
	defer file.Discard()
	if err := file.WriteFrames(stereo); err != nil {
		return err
	}
	if err := file.Commit(); err != nil {
		return err
	}
	return o.report(s, take, rows)
}

// play plays the versions and ends.
func (o *hearOptions) play(s streams, take string, heard []beds.HeardTake) error {
	s, restore, err := quietly(s)
	if err != nil {
		return err
	}
	defer restore()
	var player buffered
	o.sound.RateHz, o.sound.BlockFrames = heard[len(heard)-1].RateHz, 256
	keeper, err := output.Keep(o.sound, player.render, func(line string) { s.notice("%s", line) })
	if wrongRate := (*output.RateError)(nil); errors.As(err, &wrongRate) {
		o.sound.RateHz = wrongRate.DeviceHz
		keeper, err = output.Keep(o.sound, player.render, func(line string) { s.notice("%s", line) })
	}
	if err != nil {
		return err
	}
	defer keeper.Close()
	sound, _ := keeper.Output()
	stereo, rows := joined(heard, sound.RateHz)
	s.notice("Begin with the volume low, on headphones above all; the rules of your workplace come first.")
	if err := o.report(s, take, rows); err != nil {
		return err
	}
	player.stereo.Store(&stereo)
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	defer signal.Stop(signals)
	for !player.ended.Load() {
		select {
		case <-signals:
			return nil
		case <-time.After(20 * time.Millisecond):
		}
	}
	time.Sleep(sound.Latency)
	return nil
}

// buffered plays one sound from memory. Its render method runs on the audio thread.
type buffered struct {
	stereo atomic.Pointer[[]float32]
	ended  atomic.Bool
	at     int
}

func (b *buffered) render(out []float32) {
	clear(out)
	stereo := b.stereo.Load()
	if stereo == nil {
		return
	}
	n := copy(out, (*stereo)[b.at:])
	b.at += n
	if b.at == len(*stereo) {
		b.ended.Store(true)
	}
}

func (o *hearOptions) report(s streams, take string, rows []heardRow) error {
	if o.output.json {
		return json.NewEncoder(s.out).Encode(struct {
			Take     string     `json:"take"`
			Versions []heardRow `json:"versions"`
			Output   string     `json:"output"`
		}{take, rows, o.output.path})
	}
	for _, row := range rows {
		fmt.Fprintf(s.out, "%-9s from %5.1f s, %5.1f s long, %+.1f dB\n", row.Version, row.FromSec,
			row.Sec, row.GainDB)
	}
	if o.output.path != "" {
		fmt.Fprintf(s.out, "%s: %s\n", filepath.Clean(o.output.path), take)
	}
	return nil
}
