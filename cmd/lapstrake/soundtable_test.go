// The sound by figures that follow hearing: rows of one table, measured on beds of recordings and on a small demo.

package main

import (
	"context"
	"errors"
	"math"
	"path/filepath"
	"slices"
	"testing"

	"lapstrake/engine"
	"lapstrake/engine/check"
	"lapstrake/engine/show"
	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/testsound"
)

// bound is between which values a figure may lie.
type bound struct{ least, most float64 }

func atLeast(least float64) bound { return bound{least, math.Inf(1)} }
func atMost(most float64) bound   { return bound{math.Inf(-1), most} }

// soundTable says where the sound stands. Bounds are a little beyond what was measured when they were set, so that
// they fall only where it gets worse; what shall be reached where that is further stands behind. Figures are those of
// `check`, which plays the finished beds, or of this test; how the build made the beds is nowhere asked, but for the
// takes that each holds and what these excite.
var soundTable = []struct {
	figure           string
	recordings, demo bound
}{
	// What is strong and over 50 cents from the harmonics of the root. Peaks up to the eighth harmonic, within 25 dB
	// of the strongest, by K-weighted power (ITU-R BS.1770-5). Plomp & Levelt 1965: a quarter of a critical band away
	// is roughest.
	{"beds with over 25 % off the root's harmonics", atMost(3), atMost(1)}, // of 20
	{"beds with over 50 % off the root's harmonics", atMost(0), atMost(0)},
	{"what lies on the grid, median distance from it", atMost(1), atMost(0.5)}, // cents
	{"takes in beds at their own pitch, noises left out", atMost(0), atMost(0)},

	// Timbre: 64 mel bands, smoothed over 1 s, each moment less its mean; dB RMS from one moment to another, 5 s later
	// (log-spectral distance; Gray & Markel 1976). 1 dB RMS is about where listeners notice (from memory).
	{"one key, soft: change over 5 s, least tenth", atLeast(5), atLeast(4.7)},                    // 3.5
	{"one key, soft: change over 5 s, median", atLeast(7.5), atLeast(8.2)},                       // 5
	{"one key, soft: change over 5 s, greatest tenth against the least", atMost(2.6), atMost(3)}, // 2.5
	{"one key, loud: change over 5 s, least tenth", atLeast(4.6), atLeast(6)},
	{"one key, loud: change over 5 s, median", atLeast(8.5), atLeast(9.5)},
	{"one key, loud: change over 5 s, greatest tenth against the least", atMost(2.5), atMost(2.5)}, // 2.5

	// The same bands, band-passed. What stands still, of the same long spectrum and random phases (a surrogate:
	// Theiler et al. 1992), has to be far below: else the measure counts noise.
	{"one key, soft: slow changes of timbre, 0.02 to 0.2 Hz", atLeast(5.5), atLeast(4.9)}, // 4
	{"one key, loud: slow changes of timbre, 0.02 to 0.2 Hz", atLeast(4.8), atLeast(5.5)},
	{"chord, soft: slow changes of timbre, 0.02 to 0.2 Hz", atLeast(3.3), atLeast(2.6)}, // 3.2
	{"chord, loud: slow changes of timbre, 0.02 to 0.2 Hz", atLeast(3.7), atLeast(3.4)},
	{"one key, loud: if it stood still", atMost(1), atMost(1)},
	{"chord, loud: if it stood still", atMost(1), atMost(1)},

	// Who is heard: partial loudness in the note as played (Moore, Glasberg & Baer 1997), at 65 dB SPL.
	{"placements heard for 3 s or more of each turn at dynamics 0", atLeast(90), atLeast(95)},  // 85
	{"placements heard for 3 s or more of each turn at dynamics 64", atLeast(75), atLeast(87)}, // 85
	{"placements heard for 3 s or more of each turn at dynamics 127", atLeast(90), atLeast(92)},
	{"contributors heard for 10 s or more of a turn somewhere", atLeast(100), atLeast(100)}, // 100
	{"takes that the ledger has buried in all their beds", atMost(2), atMost(0)},            // 0
	{"beds of two or fewer takes", atMost(0), atMost(0)},
	{"beds with two or fewer takes that are heard for 3 s or more", atMost(1), atMost(0)}, // 0

	// From key to key: loudness by ITU-R BS.1770-5, brightness as the centre of power^0.3 over ERB bands (Glasberg &
	// Moore 1990; specific loudness goes by about the power 0.3: Zwicker & Fastl 1999).
	{"loudness step at seams, median", atMost(0.15), atMost(0.05)}, // LU
	{"loudness step at seams, largest", atMost(0.3), atMost(0.1)},
	{"brightness step at seams, median", atMost(0.4), atMost(0.4)}, // ERB
	{"brightness step at seams, largest", atMost(1.2), atMost(1.2)},

	// What the dynamics do. Loud is brighter than soft on instruments that are played harder (Risset & Mathews 1969).
	{"half of the change of timbre is done at, median", bound{55, 80}, bound{55, 80}}, // 55 to 75
	{"farthest from an even rise, median", atMost(0.2), atMost(0.1)},                  // LU
	{"keys where loud is darker than soft", atMost(0), atMost(0)},                     // of all keys
	// The true peak above the loudness, of 3 s and of half a minute (ITU-R BS.1770-5).
	{"peak above loudness over 3 s, loud less soft, median", atLeast(2), atLeast(0)}, // dB; +1.5
	{"peak above loudness, loud less soft, median", atLeast(3), atLeast(3)},          // dB

	// Bands of short takes that beat beyond what they do by themselves (Terhardt 1974: fluctuation is strongest around
	// 4 Hz), as the build notes; TestShortTakesDoNotBeat in mapping/beds/arrange holds that against another measure.
	// That takes are spliced where they are like themselves is TestSplicesOfRecordingsFit's, beside it.
	{"one of them beats beyond what it does by itself, most", atMost(3), atMost(1)}, // dB
}

func TestSoundTable(t *testing.T) {
	for _, made := range []struct {
		name string
		make func(*testing.T) string
		demo bool
	}{{"recordings", recordingsYard, false}, {"demo", longerYard, true}} {
		t.Run(made.name, func(t *testing.T) {
			figures := tableFigures(t, made.make(t))
			for _, row := range soundTable {
				want := row.recordings
				if made.demo {
					want = row.demo
				}
				got, measured := figures[row.figure]
				t.Logf("%7.2f  %s", got, row.figure)
				if !measured || !(got >= want.least && got <= want.most) {
					t.Errorf("%s: %.3g (measured: %v), want %g to %g", row.figure, got, measured,
						want.least, want.most)
				}
			}
		})
	}
}

// tableFigures are the figures of a project by their names.
func tableFigures(t *testing.T, dir string) map[string]float64 {
	t.Helper()
	o := checkOptions{only: []string{"evolution", "seams", "splices", "tuning", "heard", "dynamics"}}
	in, err := o.input(silent(), filepath.Join(dir, mapping.FileName), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Cycles.Close()
	in.Settings.Limits.DynamicsDarkerERB = []float64{0, 99} // each key that is darker by anything is told
	report, err := check.Run(context.Background(), *in, nil)
	if err != nil {
		t.Fatal(err)
	}
	figures := map[string]float64{"keys where loud is darker than soft": 0}
	for _, part := range report.Parts {
		for _, f := range part.Figures {
			figures[f.Name] = f.Value
		}
		for _, f := range part.Findings {
			if f.What == "dynamics_darker_erb" {
				figures["keys where loud is darker than soft"] += float64(len(f.Place.Keys))
			}
		}
		if part.Heard != nil {
			figures["beds of two or fewer takes"] = float64(bedsOfFew(part.Heard, 0))
			figures["beds with two or fewer takes that are heard for 3 s or more"] = float64(bedsOfFew(part.Heard, 3))
		}
	}
	for _, of := range []string{"one key, soft: change over 5 s, ", "one key, loud: change over 5 s, "} {
		figures[of+"greatest tenth against the least"] = figures[of+"greatest tenth"] / figures[of+"least tenth"]
	}
	heard, err := beds.ReadHeard(filepath.Join(dir, project.HeardFile))
	if err != nil {
		t.Fatal(err)
	}
	buried := "takes that the ledger has buried in all their beds"
	figures[buried] = 0
	for i := range heard {
		if heard[i].Buried() {
			figures[buried]++
		}
	}
	figures["takes in beds at their own pitch, noises left out"] = float64(leftAtTheirPitch(t, dir))
	loud, loudShort := peakAboveLoudness(t, dir, 127)
	soft, softShort := peakAboveLoudness(t, dir, 0)
	figures["peak above loudness, loud less soft, median"] = loud - soft
	figures["peak above loudness over 3 s, loud less soft, median"] = loudShort - softShort
	return figures
}

// bedsOfFew counts the beds in which two takes or fewer are heard for so long, at the dynamics that suits them.
func bedsOfFew(heard *check.HeardTable, leastSec float64) (few int) {
	takes := map[string]int{}
	for _, p := range heard.Placements {
		takes[p.Bed] += 0
		if slices.ContainsFunc(p.At, func(at check.HeardSecs) bool { return at.Sec >= leastSec }) {
			takes[p.Bed]++
		}
	}
	for _, n := range takes {
		if n <= 2 {
			few++
		}
	}
	return few
}

// peakAboveLoudness is by how many dB the true peak of a key, played for half a minute, lies above its loudness, and
// that of 3 s of it above theirs: the medians of some keys.
func peakAboveLoudness(t *testing.T, dir string, dynamics int) (whole, short float64) {
	t.Helper()
	var wholes, shorts []float64
	for _, key := range []int{52, 55, 58, 61, 64, 67, 70} {
		player, err := engine.Open(filepath.Join(dir, mapping.FileName), engine.Settings{})
		if err != nil {
			t.Fatal(err)
		}
		m := player.Map()
		var left, right []float32
		p := show.Performance{Engine: player, Events: show.HoldEvents([]int{key}, 100, int64(30*m.RateHz),
			engine.Control(0, 0, byte(m.Dynamics.Controller), byte(dynamics)))}
		_, err = p.Play(func(frames []float32) error {
			for i := 0; i < len(frames); i += 2 {
				left, right = append(left, frames[i]), append(right, frames[i+1])
			}
			return nil
		}, nil)
		if err := errors.Join(err, player.Close()); err != nil {
			t.Fatal(err)
		}
		meter := sound.NewMeter(m.RateHz, sound.StereoWeights)
		meter.Add(left, right)
		peak := max(sound.TruePeak(left), sound.TruePeak(right))
		wholes = append(wholes, sound.AmplitudeDB(peak)-meter.IntegratedLUFS())
		above := testsound.PeaksAboveLoudness(left, right, m.RateHz)
		slices.Sort(above)
		shorts = append(shorts, above[len(above)/2])
	}
	slices.Sort(wholes)
	slices.Sort(shorts)
	return wholes[len(wholes)/2], shorts[len(shorts)/2]
}
