package beds

import (
	"encoding/csv"
	"math"
	"os"
	"path"
	"path/filepath"
	"strconv"
	"testing"

	"lapstrake/mapping/takes"
)

const recordings = "../../testdata/recordings"

// recorded is a recording of known pitch, brought to a key and cut to what sounds, by the plainest means: what these
// tests hear must not depend on how takes are conformed.
func recorded(t *testing.T, name string, kind takes.Kind, key int) Part {
	t.Helper()
	sound, err := takes.Decode(filepath.Join(recordings, filepath.FromSlash(name)))
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
	take := detuned(stem{left[from:to], right[from:to]}, 100*float64(key)-trueCents(t, name)+1200*math.Log2(float64(sound.RateHz)/testRate))
	return Part{Left: take.left, Right: take.right, Kind: kind, SteadinessDB: math.NaN()}
}

// trueCents is where the recording's pitch lies, above key 0 of equal temperament, by the table beside the recordings.
func trueCents(t *testing.T, name string) float64 {
	t.Helper()
	f, err := os.Open(filepath.Join(recordings, "truth.csv"))
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
	for name, files := range map[string]map[string]takes.Kind{
		"wind":    {"bassoon/A3.mp3": takes.Held, "bassoon/C4.mp3": takes.Held, "bassoon/E4.mp3": takes.Held, "flute/C4.mp3": takes.Held, "flute/E4.mp3": takes.Held},
		"strings": {"guitar-acoustic/G3.mp3": takes.Struck, "guitar-acoustic/B3.mp3": takes.Struck, "guitar-acoustic/E4.mp3": takes.Struck, "piano/A3v10.flac": takes.Struck, "piano/C4v10.flac": takes.Struck},
		"all": {"bassoon/A3.mp3": takes.Held, "bassoon/C4.mp3": takes.Held, "flute/C4.mp3": takes.Held, "flute/E4.mp3": takes.Held,
			"guitar-acoustic/B3.mp3": takes.Struck, "piano/C4v10.flac": takes.Struck, "misc/perc_swash.flac": takes.Noisy, "misc/vinyl_hiss.flac": takes.Noisy},
		"thin":   {"bassoon/C4.mp3": takes.Held, "piano/C4v10.flac": takes.Struck},
		"single": {"flute/C4.mp3": takes.Held},
		"drums":  {"misc/drum_cowbell.flac": takes.Struck, "misc/drum_tom_lo_hard.flac": takes.Struck, "misc/drum_cymbal_open.flac": takes.Noisy, "misc/perc_snap.flac": takes.Struck},
	} {
		for _, dir := range []string{"bassoon", "flute", "guitar-acoustic", "piano", "misc"} { // in an order of its own
			entries, err := os.ReadDir(filepath.Join(recordings, dir))
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
				checkFigures(t, arranged(t, parts, 15, seed), DefaultArrange())
			}
		})
	}
}
