// The command compare.

package main

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"text/tabwriter"

	"github.com/spf13/pflag"

	"lapstrake/mapping/compare"
	"lapstrake/mapping/takes/decode"
)

// compareOptions are the options of the command, as given.
type compareOptions struct {
	all  bool
	json bool
}

func compareCommand() command {
	return command{
		name: "compare", words: "A.wav B.wav",
		summary: "tell how near another program's rendering is",
		about: `Tells how far the rendering B of a score is from the rendering A: level, tuning, timing,
bands and sides, and what is likely wrong: a layer that is missing, a loop that is off,
another curve, octave, rate or release, swapped sides. A is the player's own: proof/render.wav
of an export, beside which a file tells what its score tries, or what render wrote of any
score. The first five minutes are compared. The exit code is 1 where B falls short.`,
		example: "lapstrake compare boatyard-1/proof/render.wav theirs.wav",
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &compareOptions{}
			flags.BoolVar(&o.all, "all", false, "print every third octave")
			flags.BoolVar(&o.json, "json", false, "print the results as JSON")
			return o.run
		},
	}
}

func (o *compareOptions) run(s streams, args []string) error {
	if len(args) != 2 {
		return wrongWords("compare takes two sound files; found %d arguments", len(args))
	}
	expected, err := compare.ReadBeside(args[0])
	if err != nil {
		return err
	}
	var sections []compare.Section
	if expected != nil {
		sections = expected.Sections
	}
	var sounds [2]compare.Sound
	for i, path := range args {
		sound, err := decode.File(path)
		if err != nil {
			return err
		}
		sounds[i] = compare.Sound{RateHz: sound.RateHz, Channels: sound.Channels}
	}
	report, err := compare.Sounds(sounds[0], sounds[1], sections)
	if err != nil {
		return fmt.Errorf("%s and %s: %w", args[0], args[1], err)
	}
	if o.json {
		if err := json.NewEncoder(s.out).Encode(report); err != nil {
			return err
		}
	} else {
		o.print(s, report, filepath.Base(args[1]))
	}
	if !report.Near() {
		return foundWrong("%s falls short of %s", args[1], args[0])
	}
	return nil
}

func (o *compareOptions) print(s streams, r *compare.Report, name string) {
	tune := "not to be told"
	if r.TuneCents != nil {
		tune = fmt.Sprintf("%+.1f cents", *r.TuneCents)
	}
	w := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "level\t%+.2f dB, loudness %+.2f LU\n", r.LevelDB, r.LoudnessDB)
	fmt.Fprintf(w, "tuning\t%s\n", tune)
	fmt.Fprintf(w, "timing\t%+.1f ms, waveforms %.3f alike\n", 1000*r.DelaySec, r.Correlation)
	worst := r.Bands[0]
	for _, band := range r.Bands {
		if math.Abs(band.DiffDB) > math.Abs(worst.DiffDB) {
			worst = band
		}
	}
	fmt.Fprintf(w, "bands\tmost %+.2f dB, at %.0f Hz, beside the level\n", worst.DiffDB, worst.Hz)
	w.Flush()
	if o.all {
		w := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', tabwriter.AlignRight)
		fmt.Fprint(w, "\nHz\tA dBFS\tB\t\n")
		for _, band := range r.Bands {
			fmt.Fprintf(w, "%.0f\t%.1f\t%+.2f\t\n", band.Hz, band.ADBFS, band.DiffDB)
		}
		w.Flush()
	}
	if r.Near() {
		fmt.Fprintf(s.out, "%s is near\n", name)
	}
	for _, f := range r.Findings {
		fmt.Fprintf(s.out, "%s: %s\n", f.Kind, f.Text)
	}
}
