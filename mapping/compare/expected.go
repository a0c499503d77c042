// What a rendering is expected to be: the file that lies beside it in an export.

package compare

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"

	"lapstrake/mapping/sound"
)

// ExpectedFile is its name.
const ExpectedFile = "expected.json"

const expectedVersion = 1

// Expected tells what a score tries and how its rendering comes out.
type Expected struct {
	Version      int         `json:"version"`
	Score        string      `json:"score"`  // a file beside it
	Render       string      `json:"render"` // another one, of the score as it should sound
	RateHz       int         `json:"rate_hz"`
	Seconds      float64     `json:"seconds"`
	LoudnessLUFS float64     `json:"loudness_lufs"` // mean over all of it, no gate (ITU-R BS.1770)
	TruePeakDBTP float64     `json:"true_peak_dbtp"`
	Bands        []BandLevel `json:"bands"` // third octaves, mean over all of it, both sides together
	Sections     []Section   `json:"sections"`
}

// BandLevel is the level of a third octave.
type BandLevel struct {
	Hz   float64 `json:"hz"`
	DBFS float64 `json:"dbfs"`
}

// Expect measures the rendering of a score.
func Expect(score, render string, s Sound, sections []Section) (*Expected, error) {
	s = prepared(s, s.RateHz)
	if silent(s) {
		return nil, ErrSilent
	}
	hundredth := func(x float64) float64 { return math.Round(100*x)/100 + 0 }
	e := &Expected{Version: expectedVersion, Score: score, Render: render, RateHz: s.RateHz, Sections: sections,
		Seconds: float64(len(s.Channels[0])) / float64(s.RateHz), LoudnessLUFS: hundredth(loudness(s)),
		TruePeakDBTP: hundredth(sound.AmplitudeDB(max(sound.TruePeak(s.Channels[0]), sound.TruePeak(s.Channels[1]))))}
	g := gridOf(s)
	for band := range g.bands() {
		if hz := BandHz(band + lowestBand); hz < 0.45*float64(s.RateHz) {
			e.Bands = append(e.Bands, BandLevel{math.Round(10*hz) / 10, hundredth(dB(g.band(band)))})
		}
	}
	return e, nil
}

// ReadBeside reads what is expected of the rendering at path; nil where nothing is told of it.
func ReadBeside(path string) (*Expected, error) {
	beside := filepath.Join(filepath.Dir(path), ExpectedFile)
	data, err := os.ReadFile(beside)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	e, err := parseExpected(data)
	if err != nil {
		return nil, fmt.Errorf("%s: %w; take it from the export again, or move it elsewhere to compare without it",
			beside, err)
	}
	if e.Render != filepath.Base(path) {
		return nil, nil
	}
	return e, nil
}

func parseExpected(data []byte) (*Expected, error) {
	e := &Expected{}
	if err := json.Unmarshal(data, e); err != nil {
		return nil, err
	}
	if e.Version != expectedVersion {
		return nil, fmt.Errorf("found version %d, expected %d", e.Version, expectedVersion)
	}
	for i, s := range e.Sections {
		if !(s.FromSec >= 0 && s.ToSec > s.FromSec && s.ToSec < 1e6) {
			return nil, fmt.Errorf("section %d: found %v to %v s, expected a stretch of the rendering", i, s.FromSec,
				s.ToSec)
		}
	}
	return e, nil
}
