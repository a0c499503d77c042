// The command bench.

package main

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"text/tabwriter"
	"time"

	"github.com/spf13/pflag"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/wav"
	"lapstrake/voices"
)

// benchOptions measure what this machine carries.
type benchOptions struct {
	voices int
	blocks []int
	json   bool
}

func benchCommand() command {
	return command{
		name: "bench", words: "[DIR]",
		summary: "tell how many voices this machine carries",
		about: `Plays many different cycles at once, from 24-bit beds through reading, decoding,
resampling, ramp and mix, and tells how many stereo voices one core carries at each
quality and block length; with a project, how many of its keys that is.`,
		example: "lapstrake bench boatyard --block 64",
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &benchOptions{}
			flags.IntVar(&o.voices, "voices", 1024, "voices that sound at once, a multiple of 128")
			flags.IntSliceVar(&o.blocks, "block", []int{64, 256, 1024}, "block lengths in `frames`")
			flags.BoolVar(&o.json, "json", false, "print the results as JSON")
			return o.run
		},
	}
}

// benchRow is one measurement.
type benchRow struct {
	Quality      string  `json:"quality"`
	Arithmetic   string  `json:"arithmetic"`
	BlockFrames  int     `json:"block_frames"`
	NSPerFrame   float64 `json:"ns_per_voice_frame"`
	VoicesOfCore int     `json:"voices_of_one_core"`
	Keys         int     `json:"keys_of_the_map,omitempty"`
}

func (o *benchOptions) run(s streams, args []string) error {
	if len(args) > 1 {
		return wrongWords("bench takes one project at most; found %d arguments", len(args))
	}
	if o.voices < 128 || o.voices%128 != 0 || o.voices > 4096 {
		return wrongWords("--voices %d: expected a multiple of 128 from 128 to 4096", o.voices)
	}
	for _, block := range o.blocks {
		if block < 1 || block > 65536 {
			return wrongWords("--block %d: expected 1 to 65536 frames", block)
		}
	}
	perKey := 0
	if len(args) == 1 {
		path, err := mapping.Locate(args[0])
		if err != nil {
			return err
		}
		m, err := mapping.Load(path)
		if err != nil {
			return err
		}
		perKey = m.MostZones() * len(m.Layers)
	}
	path, remove, err := benchProject(o.voices)
	if err != nil {
		return err
	}
	defer remove()
	rows, err := o.measureAll(s, path, perKey)
	if err != nil {
		return err
	}
	if o.json {
		return json.NewEncoder(s.out).Encode(rows)
	}
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprint(table, "quality\tarithmetic\tblock\tns a voice and frame\tstereo voices of one core\t")
	if perKey > 0 {
		fmt.Fprintf(table, "keys of %d voices\t", perKey)
	}
	fmt.Fprintln(table)
	for _, row := range rows {
		fmt.Fprintf(table, "%s\t%s\t%d\t%.2f\t%d\t", row.Quality, row.Arithmetic, row.BlockFrames, row.NSPerFrame,
			row.VoicesOfCore)
		if perKey > 0 {
			fmt.Fprintf(table, "%d\t", row.Keys)
		}
		fmt.Fprintln(table)
	}
	return table.Flush()
}

func (o *benchOptions) measureAll(s streams, path string, perKey int) ([]benchRow, error) {
	var rows []benchRow
	bar := newProgress(s.notices, "measuring")
	defer bar.end()
	for quality := voices.Economy; quality <= voices.Best; quality++ {
		for _, arithmetic := range []voices.Arithmetic{voices.AVX2, voices.Portable} {
			if !arithmetic.Available() {
				continue
			}
			for _, block := range o.blocks {
				ns, rateHz, err := measureVoices(path, engine.Settings{Quality: quality, Arithmetic: arithmetic,
					MemoryBytes: 512 << 20}, o.voices, block)
				if err != nil {
					return nil, err
				}
				row := benchRow{quality.String(), arithmetic.String(), block, ns, int(1e9 / float64(rateHz) / ns), 0}
				if perKey > 0 {
					row.Keys = row.VoicesOfCore / perKey
				}
				rows = append(rows, row)
				bar.show(float64(len(rows)) / float64(8*len(o.blocks)))
			}
		}
	}
	return rows, nil
}

// measureVoices returns the median time for one frame of one voice, reading
// included, in nanoseconds of one core, and the rate.
func measureVoices(path string, settings engine.Settings, count, block int) (ns float64, rateHz int, err error) {
	player, err := engine.Open(path, settings)
	if err != nil {
		return 0, 0, err
	}
	defer player.Close()
	rateHz = player.Map().RateHz
	var press []engine.Event
	for key := range byte(128) {
		press = append(press, engine.NoteOn(0, 0, key, 100))
	}
	events := engine.NewList(press)
	out := make([]float32, 2*block)
	play := func(frames int) {
		for at := 0; at < frames; at += block {
			player.Fill()
			player.Render(out, events)
		}
	}
	play(rateHz) // past the heads in memory
	if sounding := player.Stats().Voices; sounding != count {
		return 0, 0, fmt.Errorf("%d voices sound: expected %d", sounding, count)
	}
	const rounds, roundFrames = 9, 4096
	var times []float64
	for range rounds {
		began := time.Now()
		play(roundFrames)
		frames := (roundFrames + block - 1) / block * block
		times = append(times, float64(time.Since(began).Nanoseconds())/float64(frames)/float64(count))
	}
	slices.Sort(times)
	return times[rounds/2], rateHz, nil
}

// benchProject makes a map in which every key sounds count/128 zones, all from
// different places of two long 24-bit beds of noise.
func benchProject(count int) (path string, remove func(), err error) {
	dir, err := os.MkdirTemp("", "lapstrake-bench-")
	if err != nil {
		return "", nil, err
	}
	remove = func() { os.RemoveAll(dir) }
	defer func() {
		if err != nil {
			remove()
		}
	}()
	m := mapping.New()
	m.Layers, m.Polyphony, m.OverlapSec = []string{"one"}, count, 0.1
	for _, strand := range m.Strands {
		if err := writeNoise(filepath.Join(dir, strand+".wav"), m.RateHz, 60); err != nil {
			return "", nil, err
		}
	}
	ranks := count / 128
	starts := mapping.GoldenStarts(ranks * 11)
	for rank := range ranks {
		for octave := range 11 {
			high := min(12*octave+11, mapping.HighestKey)
			m.Zones = append(m.Zones, mapping.Zone{Rank: fmt.Sprint(rank), Root: high, Low: 12 * octave, High: high,
				Start: starts[len(m.Zones)], Beds: map[string][]string{"one": {"a.wav", "b.wav"}}})
		}
	}
	path = filepath.Join(dir, mapping.FileName)
	return path, remove, m.Save(path)
}

func writeNoise(path string, rateHz, seconds int) error {
	writer, err := wav.Create(path, rateHz, 2, wav.PCM24)
	if err != nil {
		return err
	}
	defer writer.Discard()
	random := rand.New(rand.NewPCG(1, 2))
	second := make([]float32, 2*rateHz)
	for range seconds {
		for i := range second {
			second[i] = float32(random.Float64()*0.5 - 0.25)
		}
		if err := writer.WriteFrames(second); err != nil {
			return err
		}
	}
	return writer.Commit()
}
