// A project that a test works on as a builder does: commands in words, sheets as a spreadsheet saves them, and a look
// at what came of it.

package main

import (
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"encoding/json"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/testsound"
)

// day is a project and what is known of it from step to step.
type day struct {
	*testing.T
	dir  string
	beds map[string]string // hashes by path, after the last step
}

// does runs a command and gives what it printed.
func (d *day) does(code int, words ...string) string {
	d.Helper()
	var out, notices bytes.Buffer
	if got := run(words, streams{&out, &notices}); got != code {
		d.Fatalf("lapstrake %s: exit code %d, want %d\n%s%s", strings.Join(words, " "), got, code, &out, &notices)
	}
	return out.String() + notices.String()
}

// reads runs a command with --json into a value.
func (d *day) reads(value any, words ...string) {
	d.Helper()
	var out, notices bytes.Buffer
	if code := run(append(words, "--json"), streams{&out, &notices}); code != exitDone {
		d.Fatalf("lapstrake %s: exit code %d\n%s", strings.Join(words, " "), code, &notices)
	}
	if err := json.Unmarshal(out.Bytes(), value); err != nil {
		d.Fatal(err)
	}
}

func (d *day) lookAtBeds() {
	paths, _ := filepath.Glob(filepath.Join(d.dir, project.BedsFolder, "*.wav"))
	d.beds = map[string]string{}
	for _, path := range paths {
		hash, err := decode.Hash(path)
		if err != nil {
			d.Fatal(err)
		}
		d.beds[project.BedsFolder+"/"+filepath.Base(path)] = hash
	}
}

// changedBeds lists the beds that are there now and were not the same before.
func changedBeds(before, now map[string]string) (changed []string) {
	for bed, hash := range now {
		if before[bed] != hash {
			changed = append(changed, bed)
		}
	}
	return changed
}

// build builds, and checks that every bed that is another one now was or is about takes that the step was about; with
// none of those named, any may change.
func (d *day) build(about ...string) *buildResult {
	d.Helper()
	before, held := maps.Clone(d.beds), d.takesInBeds()
	result := &buildResult{}
	d.reads(result, "build", d.dir)
	d.lookAtBeds()
	now := d.takesInBeds()
	for _, bed := range changedBeds(before, d.beds) {
		concerned := slices.ContainsFunc(about, func(take string) bool {
			return slices.Contains(held[bed], take) || slices.Contains(now[bed], take)
		})
		// A take that makes room or fills it may move others: then the bed holds other takes than before.
		if len(about) > 0 && !concerned && slices.Equal(held[bed], now[bed]) {
			d.Errorf("%s was made again, and holds none of %v and the same takes as before", bed, about)
		}
	}
	return result
}

// takesInBeds lists which takes each bed was made from.
func (d *day) takesInBeds() map[string][]string {
	d.Helper()
	contents, err := beds.ReadContents(d.dir, slices.Sorted(maps.Keys(d.beds)))
	if err != nil {
		d.Fatal(err)
	}
	held := map[string][]string{}
	for _, c := range contents {
		if c.Edited || c.Takes == nil {
			d.Errorf("%s: nobody knows what it holds: %+v", c.Bed, c)
		}
		for _, take := range c.Takes {
			held[c.Bed] = append(held[c.Bed], take.Path)
		}
		slices.Sort(held[c.Bed])
	}
	return held
}

// heardTakes lists the takes that sound in some bed.
func (d *day) heardTakes() (all []string) {
	for _, held := range d.takesInBeds() {
		for _, take := range held {
			if !slices.Contains(all, take) {
				all = append(all, take)
			}
		}
	}
	return all
}

// sheet reads a sheet as a spreadsheet does: rows of cells by their columns.
func (d *day) sheet(name string) (columns []string, rows []map[string]string) {
	d.Helper()
	data, err := os.ReadFile(filepath.Join(d.dir, name))
	if err != nil {
		d.Fatal(err)
	}
	cells, err := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\ufeff")))).ReadAll()
	if err != nil {
		d.Fatal(err)
	}
	for _, line := range cells[1:] {
		row := map[string]string{}
		for i, title := range cells[0] {
			row[title] = line[i]
		}
		rows = append(rows, row)
	}
	return cells[0], rows
}

// types changes cells as a person does in a spreadsheet, which saves all of it.
func (d *day) types(name string, change func(row map[string]string)) {
	d.Helper()
	columns, rows := d.sheet(name)
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.Write(columns)
	for _, row := range rows {
		change(row)
		cells := make([]string, len(columns))
		for i, title := range columns {
			cells[i] = row[title]
		}
		w.Write(cells)
	}
	w.Flush()
	if err := os.WriteFile(filepath.Join(d.dir, name), out.Bytes(), 0o666); err != nil {
		d.Fatal(err)
	}
}

// record puts a tone into a contributor's folder: struck or held, of a key, every one another sound.
func (d *day) record(path string, key, n int) {
	d.Helper()
	const rateHz, sec = 16000, 0.8
	samples := make([]float32, int(sec*rateHz))
	for partial := 1; partial <= 3+n%4; partial++ {
		hz := testsound.KeyHz(key) * float64(partial) * math.Exp2(float64(n%7-3)/1200)
		level := 0.2 / math.Pow(float64(partial), 1+0.1*float64(n%9))
		for i, x := range testsound.SineWave(rateHz, hz, 0, sec) {
			t := float64(i) / rateHz
			shape := math.Min(t/0.02, 1) * math.Min((sec-t)/0.05, 1)
			if n%3 == 0 {
				shape = math.Min(t/0.003, 1) * math.Exp(-6*t)
			}
			samples[i] += float32(level*shape) * x
		}
	}
	testsound.AddHiss(samples, 1e-4, uint64(n+1))
	d.write(path, testsound.WavBytes(3, 1, rateHz, 32, testsound.Joined(binary.LittleEndian, samples)))
}

func (d *day) write(path string, data []byte) {
	d.Helper()
	file := filepath.Join(d.dir, project.TakesFolder, filepath.FromSlash(path))
	if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
		d.Fatal(err)
	}
	if err := os.WriteFile(file, data, 0o666); err != nil {
		d.Fatal(err)
	}
}

func (d *day) out(name string) string { return filepath.Join(filepath.Dir(d.dir), name) }

func (d *day) credits(export string) string {
	d.Helper()
	data, err := os.ReadFile(filepath.Join(d.out(export), "CREDITS.txt"))
	if err != nil {
		d.Fatal(err)
	}
	return string(data)
}

// keysOf tells for each bed that holds a take which key it was tuned from: the root less what it was moved by.
func (d *day) keysOf(take string) (keys []float64) {
	d.Helper()
	contents, err := beds.ReadContents(d.dir, slices.Sorted(maps.Keys(d.beds)))
	if err != nil {
		d.Fatal(err)
	}
	for _, c := range contents {
		name, err := mapping.ParseBedName(filepath.Base(c.Bed))
		for _, in := range c.Takes {
			if in.Path == take && err == nil && in.Move != nil {
				keys = append(keys, float64(name.Root)-*in.Move)
			}
		}
	}
	return keys
}

// sounds is the hash of a chord that all roots sound in.
func (d *day) sounds() string {
	d.Helper()
	d.does(exitDone, "hold", d.dir, "55", "60", "66", "--for", "1s", "-o", d.out("chord.wav"), "--force")
	hash, err := decode.Hash(d.out("chord.wav"))
	if err != nil {
		d.Fatal(err)
	}
	return hash
}

// stateWithout finds the latest state in which no row of swinney-hythe says use = no.
func (d *day) stateWithout(states []stateRow, muted string) int {
	d.Helper()
	for _, state := range states {
		data, err := state.Read(d.dir, project.SheetFile)
		if err != nil {
			d.Fatal(err)
		}
		if !slices.ContainsFunc(strings.Split(string(data), "\n"), func(line string) bool {
			return strings.HasPrefix(line, "swinney-hythe/") && strings.Contains(line, muted)
		}) {
			return state.Number
		}
	}
	d.Fatalf("no state from before: %+v", states)
	return 0
}
