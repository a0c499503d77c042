// Makes the beds and scores that the scripts use.

package main

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"lapstrake/mapping/project"
	"lapstrake/mapping/wav"
)

// makeBeds: beds DIR [SECONDS [RATE]] writes 24-bit stereo noise for every bed of the default
// grid into DIR/beds, half a second at 8 kHz unless told otherwise.
func makeBeds(ts *testscript.TestScript, neg bool, args []string) {
	seconds, rateHz := 0.5, 8000.0
	for i, value := range []*float64{&seconds, &rateHz} {
		if len(args) > i+1 {
			*value = number(ts, args[i+1])
		}
	}
	dir := filepath.Join(ts.MkAbs(args[0]), "beds")
	ts.Check(os.MkdirAll(dir, 0o777))
	settings := project.Default()
	for i, bed := range settings.Slots() {
		writeBed(ts, filepath.Join(dir, bed.String()), wav.PCM24, int(seconds*rateHz), int(rateHz), uint64(i))
	}
}

// makeNaNBed: nanbed FILE writes a float bed of half a second at 8 kHz whose frame 3000 is no number.
func makeNaNBed(ts *testscript.TestScript, neg bool, args []string) {
	path := ts.MkAbs(args[0])
	writeBed(ts, path, wav.Float, 4000, 8000, 1)
	data, err := os.ReadFile(path)
	ts.Check(err)
	const headerBytes, frameBytes = 44, 8
	binary.LittleEndian.PutUint32(data[headerBytes+3000*frameBytes:], math.Float32bits(float32(math.NaN())))
	ts.Check(os.WriteFile(path, data, 0o666))
}

// truncateFile: truncate FILE BYTES cuts a file short.
func truncateFile(ts *testscript.TestScript, neg bool, args []string) {
	ts.Check(os.Truncate(ts.MkAbs(args[0]), int64(number(ts, args[1]))))
}

// replaceText: replace FILE OLD NEW edits the first OLD of a file by hand.
func replaceText(ts *testscript.TestScript, neg bool, args []string) {
	path := ts.MkAbs(args[0])
	data, err := os.ReadFile(path)
	ts.Check(err)
	if !strings.Contains(string(data), args[1]) {
		ts.Fatalf("%s: no %q in it", args[0], args[1])
	}
	ts.Check(os.WriteFile(path, []byte(strings.Replace(string(data), args[1], args[2], 1)), 0o666))
}

func writeBed(ts *testscript.TestScript, path string, format wav.Format, frames, rateHz int, seed uint64) {
	random := rand.New(rand.NewPCG(seed, 1))
	samples := make([]float32, 2*frames)
	for i := range samples {
		samples[i] = float32(random.Float64() - 0.5)
	}
	writer, err := wav.Create(path, rateHz, 2, format)
	ts.Check(err)
	defer writer.Discard()
	ts.Check(writer.WriteFrames(samples))
	ts.Check(writer.Commit())
}

// makeScore: midi FILE writes a score of one second at 120 beats a minute: a third, then the
// dynamics rise, then silence.
func makeScore(ts *testscript.TestScript, neg bool, args []string) {
	var track smf.Track
	const quarter = 960
	track.Add(0, smf.MetaTempo(120))
	track.Add(0, midi.NoteOn(0, 60, 100))
	track.Add(0, midi.NoteOn(0, 64, 90))
	track.Add(quarter, midi.ControlChange(0, 1, 127))
	track.Add(quarter/2, midi.NoteOff(0, 60))
	track.Add(0, midi.NoteOff(0, 64))
	track.Close(quarter / 2)
	score := smf.New()
	score.TimeFormat = smf.MetricTicks(quarter)
	ts.Check(score.Add(track))
	ts.Check(score.WriteFile(ts.MkAbs(args[0])))
}

func number(ts *testscript.TestScript, word string) float64 {
	value, err := strconv.ParseFloat(word, 64)
	ts.Check(err)
	return value
}
