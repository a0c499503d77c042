// The whole export: the same bytes each time, nothing in place before all is proved, nothing left after a failure.

package export

import (
	"context"
	"errors"
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/export/credits"
	"lapstrake/mapping/export/testyard"
	"lapstrake/mapping/wav"
)

// contents are the files of a folder by name.
func contents(t testing.TB, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		name, _ := filepath.Rel(dir, path)
		files[filepath.ToSlash(name)] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func written(t testing.TB, j *Job) (string, *Report) {
	t.Helper()
	out := filepath.Join(t.TempDir(), "out")
	report, err := j.Write(context.Background(), out, false)
	if err != nil {
		t.Fatal(err)
	}
	return out, report
}

// Every part in every format is written, proved and counted; the same job gives the same bytes.
func TestExportIsCompleteAndRepeatable(t *testing.T) {
	for _, format := range []wav.Format{wav.PCM16, wav.PCM24, wav.Float} {
		job := func() *Job {
			return yard(t, func(j *Job) {
				j.Format = format
				if format != wav.Float {
					j.Parts = append(j.Parts, AIFF)
				}
				j.Credits = &credits.Credits{Takes: []credits.Take{{Path: "ama/mug.wav", Credit: "Ama",
					Consent: "CC0"}}}
			})
		}
		shown := 0.0
		first := job()
		first.Progress = func(part float64) {
			if part < shown || part > 1 {
				t.Errorf("progress goes from %v to %v", shown, part)
			}
			shown = part
		}
		out, report := written(t, first)
		again, _ := written(t, job())
		files := contents(t, out)
		if !maps.Equal(files, contents(t, again)) {
			t.Errorf("%v: the same export gives other bytes", format)
		}
		want := []string{"CREDITS.csv", "CREDITS.txt", "HOWTO.txt", "SHA256SUMS", "bank.dls", "dynamics.csv",
			"keymap.csv", "keymap.json", "keymap.schema.json"}
		for _, item := range itemsOf(t, first) {
			want = append(want, fileIn(WAV, &item))
			if first.Parts.Has(AIFF) {
				want = append(want, fileIn(AIFF, &item))
			}
		}
		slices.Sort(want)
		if got := slices.Sorted(maps.Keys(files)); !slices.Equal(got, want) {
			t.Errorf("%v: files %q, want %q", format, got, want)
		}
		size := int64(0)
		for name, data := range files {
			size += int64(len(data))
			if name != checksumsFile && !strings.Contains(files[checksumsFile], "  "+name+"\n") {
				t.Errorf("%s has no checksum", name)
			}
		}
		if report.Files != len(files) || report.SizeBytes != size || report.Clipped != 0 {
			t.Errorf("%v: reported %d files, %d bytes, %d clipped; there are %d, %d", format, report.Files,
				report.SizeBytes, report.Clipped, len(files), size)
		}
		sets := 1
		if first.Parts.Has(AIFF) {
			sets = 2
		}
		if len(report.Proofs) != (sets+1)*6 {
			t.Errorf("%v: %d proofs, want one for each file and each cycle of the bank", format, len(report.Proofs))
		}
		for _, p := range report.Proofs {
			if p.Frames != yardFrames || p.MostDBFS > p.AllowedDBFS ||
				p.Exact() != (format == wav.Float && strings.HasPrefix(p.File, "wav/")) {
				t.Errorf("%v: proof %+v", format, p)
			}
		}
		if math.Abs(shown-1) > 1e-9 {
			t.Errorf("%v: the progress ends at %v", format, shown)
		}
	}
}

// failing is a source that cannot be read from some frame on.
type failing struct{ Source }

var errFailing = errors.New("the bed's disk is gone")

func (f failing) ReadFrames(dst []float32, pos int64) error {
	if pos > pieceFrames {
		return errFailing
	}
	return f.Source.ReadFrames(dst, pos)
}

// damaged gives another frame from the ninth reading on, like a bed that is written to meanwhile.
type damaged struct {
	memory
	reads *int
}

func (d damaged) ReadFrames(dst []float32, pos int64) error {
	*d.reads++
	err := d.memory.ReadFrames(dst, pos)
	if *d.reads > 8 {
		dst[0] += 0.01
	}
	return err
}

// A bed that fails or changes, and a call to stop: an error, and no trace of an export.
func TestFailedExportsLeaveNothing(t *testing.T) {
	stopped, stop := context.WithCancel(context.Background())
	for name, c := range map[string]struct {
		ctx    context.Context
		change func(*Job)
		says   string
	}{
		"a bed that fails": {context.Background(), func(j *Job) {
			whole := j.Cycles
			j.Cycles = func(zone, layer int) Cycle {
				c := whole(zone, layer)
				if zone == 1 {
					c.Source = failing{c.Source}
				}
				return c
			}
		}, "root 48: the bed's disk is gone"},
		"a bed that changes": {context.Background(), func(j *Job) {
			whole, reads := j.Cycles, new(int)
			j.Parts = Parts{WAV}
			j.Cycles = func(zone, layer int) Cycle {
				c := whole(zone, layer)
				if zone == 1 && layer == 1 {
					c.Source = damaged{c.Source.(memory), reads}
				}
				return c
			}
		}, "wav/loud_C/loud_C_root-048-C3_keys-037-C#2-to-048-C3.wav: read back, it differs from what the player " +
			"plays by -40.0 dBFS"},
		"stopped": {stopped, func(j *Job) {
			j.Progress = func(part float64) {
				if part > 0.5 {
					stop()
				}
			}
		}, context.Canceled.Error()},
		"a rank": {context.Background(), func(j *Job) { j.Map.Zones[0].Rank = "C:" }, "the rank"},
	} {
		dir := t.TempDir()
		_, err := yard(t, c.change).Write(c.ctx, filepath.Join(dir, "out"), false)
		if err == nil || !strings.Contains(err.Error(), c.says) || strings.Contains(err.Error(), ".part") {
			t.Errorf("%s: %v, want %q", name, err, c.says)
		}
		if files := contents(t, dir); len(files) > 0 {
			t.Errorf("%s: %d files are left", name, len(files))
		}
		if entries, _ := os.ReadDir(dir); len(entries) > 0 {
			t.Errorf("%s: %v is left", name, entries)
		}
	}
}

// What somebody puts in the export's place, or into an earlier export, while the export is being made, stays.
func TestExportReplacesNothingThatAppearsMeanwhile(t *testing.T) {
	for _, earlier := range []bool{false, true} {
		out := filepath.Join(t.TempDir(), "out")
		if earlier {
			if _, err := yard(t, nil).Write(context.Background(), out, false); err != nil {
				t.Fatal(err)
			}
		}
		precious := filepath.Join(out, "precious.txt")
		_, err := yard(t, func(j *Job) {
			j.Progress = func(float64) {
				os.MkdirAll(out, 0o777)
				os.WriteFile(precious, []byte("mine"), 0o666)
			}
		}).Write(context.Background(), out, true)
		if err == nil {
			t.Errorf("earlier export %v: it was replaced", earlier)
		}
		if data, err := os.ReadFile(precious); err != nil || string(data) != "mine" {
			t.Errorf("earlier export %v: %q, %v", earlier, data, err)
		}
	}
}

// What is damaged between writing and reading back is found, in the sound, the labels, the bank's layout and its guard
// frames alike.
func TestProofFindsDamage(t *testing.T) {
	j := yard(t, func(j *Job) { j.Parts = append(j.Parts, AIFF) })
	out, _ := written(t, j)
	items := itemsOf(t, j)
	i := &items[1]
	b := j.layBank(items, 16)
	damage := func(name, mark string, offset int, prove func() error) {
		t.Helper()
		path := filepath.Join(out, filepath.FromSlash(name))
		whole, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := prove(); err != nil {
			t.Errorf("%s undamaged: %v", name, err)
		}
		broken := slices.Clone(whole)
		at := strings.Index(string(broken), mark) + offset
		broken[at] ^= 0x40
		if err := os.WriteFile(path, broken, 0o666); err != nil {
			t.Fatal(err)
		}
		if err := prove(); err == nil {
			t.Errorf("%s: damage at byte %d, %d after %s, goes unnoticed", name, at, offset, mark)
		}
		if err := os.WriteFile(path, whole, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	wavName, aiffName := fileIn(WAV, i), fileIn(AIFF, i)
	proveWAV := func() error { _, err := j.proveWAV(i, fileAt{out, wavName}, 0, noStep); return err }
	damage(wavName, "data", 8+6*5000+2, proveWAV)
	damage(wavName, "smpl", 8+12, proveWAV)
	damage(wavName, "inst", 8+4, proveWAV)
	damage(wavName, "INAM", 10, proveWAV)
	damage(aiffName, "SSND", 16+6*7000, func() error {
		_, err := j.proveDecoded(i, fileAt{out, aiffName}, 0, noStep)
		return err
	})
	proveBank := func() error {
		_, err := b.prove(fileAt{out, "bank.dls"}, make([]int64, len(items)), noStep)
		return err
	}
	damage("bank.dls", "data", 8+3, proveBank) // a guard frame
	damage("bank.dls", "data", 8+2*9000+1, proveBank)
	damage("bank.dls", "rgnh", 8, proveBank)
	damage("bank.dls", "art2", 8+8+8, proveBank)
}

// Clipped samples of integer files, and of each cycle of a bank, are counted, and the proof holds. Floats clip
// nothing.
func TestClippedSamplesAreCounted(t *testing.T) {
	for format, wantInSet := range map[wav.Format]int64{wav.PCM24: 6, wav.Float: 0} {
		j := yard(t, func(j *Job) {
			j.Format, j.Map.HeadroomDB = format, 0
			j.Cycles = func(zone, layer int) Cycle {
				c := yardCycles(testyard.RateHz, yardFrames)(zone, layer)
				sound := c.Source.(memory)
				for i := range sound {
					sound[i] = min(max(sound[i], -0.9), 0.9)
				}
				for k := range 6 {
					sound[2000*k] = 1.25
				}
				return c
			}
		})
		_, report := written(t, j)
		for _, p := range report.Proofs {
			want := wantInSet
			if strings.HasPrefix(p.File, "bank.dls") {
				want = 6
			}
			if p.Clipped != want {
				t.Errorf("%v: %s: %d samples clipped, want %d", format, p.File, p.Clipped, want)
			}
		}
		if report.Bank.Clipped != 6*6 || report.Clipped != report.Bank.Clipped+6*wantInSet {
			t.Errorf("%v: %d samples clipped, %d of them in the bank", format, report.Clipped, report.Bank.Clipped)
		}
	}
}

// Files that sound together have dither of their own, since the same noise would add up: the noise of silent files is
// unrelated.
func TestDitherOfEachFileIsItsOwn(t *testing.T) {
	j := yard(t, func(j *Job) {
		j.Format, j.Parts = wav.PCM16, append(j.Parts, AIFF)
		j.Cycles = func(int, int) Cycle {
			return Cycle{mapping.CycleLength{Frames: yardFrames, RateHz: testyard.RateHz},
				make(memory, 2*yardFrames), false, nil}
		}
	})
	out, _ := written(t, j)
	noise := func(item *Item) []float32 {
		file, err := wav.Open(filepath.Join(out, fileIn(WAV, item)))
		if err != nil {
			t.Fatal(err)
		}
		defer file.Close()
		samples := make([]float32, 2*yardFrames)
		if err := file.ReadStereo(samples, 0); err != nil {
			t.Fatal(err)
		}
		return samples
	}
	items := itemsOf(t, j)
	first := noise(&items[0])
	for i := range items[1:] {
		var cross, own float64
		for k, v := range noise(&items[1+i]) {
			cross += float64(v) * float64(first[k])
			own += float64(first[k]) * float64(first[k])
		}
		if correlation := cross / own; math.Abs(correlation) > 0.05 {
			t.Errorf("the noise of %s and %s is related by %.2f", items[0].Name, items[1+i].Name, correlation)
		}
	}
}
