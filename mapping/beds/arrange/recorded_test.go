package arrange

import (
	"encoding/csv"
	"math"
	"os"
	"path"
	"path/filepath"
	"strconv"
	"testing"

	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
)

// recorded is a recording of known pitch, brought to a key and cut to what sounds, by the plainest means: what these
// tests hear must not depend on how takes are conformed.
func recorded(t *testing.T, name string, kind measure.Kind, key int) Part {
	t.Helper()
	sound, err := decode.File(filepath.Join(testsound.Recordings(), filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	left, right := sound.Stereo()
	top := highest(left, right)
	from, to := 0, len(left)
	for from < to && max(left[from], -left[from], right[from], -right[from]) < top/300 {
		from++
	}
	for to > from && max(left[to-1], -left[to-1], right[to-1], -right[to-1]) < top/300 {
		to--
	}
	take := detuned(stem{left[from:to], right[from:to]},
		100*float64(key)-trueCents(t, name)+1200*math.Log2(float64(sound.RateHz)/testRate))
	return Part{Left: take.left, Right: take.right, Kind: kind, SteadinessDB: math.NaN()}
}

// trueCents is where the recording's pitch lies, above key 0 of equal temperament, by the table beside the recordings.
func trueCents(t *testing.T, name string) float64 {
	t.Helper()
	f, err := os.Open(filepath.Join(testsound.Recordings(), "truth.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows {
		if row[0] == name {
			key, errKey := strconv.ParseFloat(row[1], 64)
			cents, errCents := strconv.ParseFloat(row[2], 64)
			if errKey == nil && errCents == nil {
				return 100*key + cents
			}
		}
	}
	return 6000 // no pitch known: left where it is when brought to middle C
}

func recordedBeds(t *testing.T) map[string][]Part {
	beds := map[string][]Part{}
	for name, files := range map[string]map[string]measure.Kind{
		"wind": {"bassoon/A3.mp3": measure.Held, "bassoon/C4.mp3": measure.Held, "bassoon/E4.mp3": measure.Held,
			"flute/C4.mp3": measure.Held, "flute/E4.mp3": measure.Held},
		"strings": {"guitar-acoustic/G3.mp3": measure.Struck, "guitar-acoustic/B3.mp3": measure.Struck,
			"guitar-acoustic/E4.mp3": measure.Struck, "piano/A3v10.flac": measure.Struck,
			"piano/C4v10.flac": measure.Struck},
		"all": {"bassoon/A3.mp3": measure.Held, "bassoon/C4.mp3": measure.Held, "flute/C4.mp3": measure.Held,
			"flute/E4.mp3": measure.Held, "guitar-acoustic/B3.mp3": measure.Struck, "piano/C4v10.flac": measure.Struck,
			"misc/perc_swash.flac": measure.Noisy, "misc/vinyl_hiss.flac": measure.Noisy},
		"thin":   {"bassoon/C4.mp3": measure.Held, "piano/C4v10.flac": measure.Struck},
		"single": {"flute/C4.mp3": measure.Held},
		"drums": {"misc/drum_cowbell.flac": measure.Struck, "misc/drum_tom_lo_hard.flac": measure.Struck,
			"misc/drum_cymbal_open.flac": measure.Noisy, "misc/perc_snap.flac": measure.Struck},
	} {
		// in an order of its own
		for _, dir := range []string{"bassoon", "flute", "guitar-acoustic", "piano", "misc"} {
			entries, err := os.ReadDir(filepath.Join(testsound.Recordings(), dir))
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range entries {
				if kind, ok := files[path.Join(dir, e.Name())]; ok {
					p := recorded(t, path.Join(dir, e.Name()), kind, 60)
					p.Index = len(beds[name])
					beds[name] = append(beds[name], p)
				}
			}
		}
		if len(beds[name]) != len(files) {
			t.Fatalf("%s: %d of %d recordings found", name, len(beds[name]), len(files))
		}
	}
	return beds
}

func TestRecordedBedsKeepTheirFigures(t *testing.T) {
	for name, parts := range recordedBeds(t) {
		t.Run(name, func(t *testing.T) {
			for seed := range uint64(2) {
				checkFigures(t, arranged(t, parts, 15, seed), project.DefaultArrange())
			}
		})
	}
}

// Where a recording of a held note is prolonged, it goes on at places that fit: of all splices at most one in twenty
// has a correlation under 0.5.
func TestSplicesOfRecordingsFit(t *testing.T) {
	splices, poor := 0, 0
	for _, part := range recordedBeds(t)["wind"] {
		for seed := range uint64(5) {
			a := newArranger(project.DefaultArrange(), 1, 15*testRate, testRate, seed)
			a.materials[0] = newMaterial(part, testRate)
			a.prolong(0, 0, 1)
			for _, p := range a.paths[0][1:] {
				splices++
				if p.rho < 0.5 {
					poor++
				}
			}
			a.free()
		}
	}
	if t.Logf("%d of %d", poor, splices); poor*20 > splices {
		t.Errorf("%d of %d splices fit by less than 0.5", poor, splices)
	}
}

// A held note that is too short to be prolonged without end strikes gestures instead.
func TestShortNotesStrike(t *testing.T) {
	short := recordedBeds(t)["single"][0]
	cut := int(0.5 * testRate)
	short.Left, short.Right = short.Left[:cut], short.Right[:cut]
	bed := arranged(t, []Part{short, tone(262, 5, 6, 1)}, 15, 1)
	strokes := 0
	for _, s := range bed.Spans {
		if s.Part == 0 && s.Role == Stroke {
			strokes++
		} else if s.Part == 0 {
			t.Errorf("half a second of a flute is prolonged: %s", s.Role)
		}
	}
	if strokes < 5 {
		t.Errorf("it is struck %d times", strokes)
	}
}
