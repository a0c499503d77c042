// A builder's day in the boatyard: 120 recordings come in, 20 more at noon, people change their minds, and after each
// step the project is what a person would expect.

package main

import (
	"encoding/binary"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/testsound"
)

const daySettings = `[project]
title = "Boatyard day"
rate_hz = 16000

[grid]
lowest_key = 55
highest_key = 66

[beds]
length_sec = 2
overlap_sec = 0.25
most_takes = 16
`

func TestBuildersDay(t *testing.T) {
	t.Parallel()
	d := &day{T: t, dir: filepath.Join(t.TempDir(), "boatyard")}
	for _, step := range []struct {
		name string
		do   func(d *day)
		most int // beds that may be others afterwards
	}{
		{"120 recordings come in", (*day).morning, 0},
		{"the first build uses all that can be used", (*day).firstBuild, 12},
		{"nothing changed, nothing is made", (*day).secondBuild, 0},
		{"terms are decided", (*day).decideTerms, 12},
		{"an export for each use", (*day).exportForEachUse, 0},
		{"20 recordings arrive", (*day).arrivals, 12},
		{"a folder gets another name", (*day).rename, 0},
		{"one recording is three takes", (*day).split, 4},
		{"a take is pinned to a bed", (*day).pin, 4},
		{"the map is told something", (*day).tellMap, 0},
		{"a take gets another key and layer", (*day).keyAndLayer, 4},
		{"somebody is favoured", (*day).favour, 12},
		{"somebody withdraws, and returns", (*day).withdrawAndReturn, 12},
		{"a change is undone", (*day).undo, 0},
		{"the last export", (*day).lastExport, 0},
	} {
		before, began := maps.Clone(d.beds), time.Now()
		step.do(d)
		if t.Failed() {
			t.Fatalf("after the step: %s", step.name)
		}
		d.lookAtBeds()
		changed := len(changedBeds(before, d.beds))
		t.Logf("%-45s %5.1f s, %3d of %d beds are others", step.name, time.Since(began).Seconds(),
			changed, len(d.beds))
		if changed > step.most {
			t.Fatalf("%d beds are others, want %d at most", changed, step.most)
		}
	}
}

var neighbours = []string{"fen-ferriby", "hob-marrable", "tobit-oakum", "wherry-sal", "old-strake", "ama-fennimere"}

// morning: 30 recordings of instruments that others published, and 90 sounds of neighbours.
func (d *day) morning() {
	if err := os.MkdirAll(d.dir, 0o777); err != nil {
		d.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(d.dir, project.SettingsFile), []byte(daySettings), 0o666); err != nil {
		d.Fatal(err)
	}
	recordings, _ := filepath.Glob(filepath.Join(testsound.Recordings(), "*", "*.*"))
	recordings = slices.DeleteFunc(recordings, func(path string) bool { return filepath.Ext(path) == ".csv" })
	const published = 30
	for i, path := range recordings[:published] {
		data, err := os.ReadFile(path)
		if err != nil {
			d.Fatal(err)
		}
		d.write(fmt.Sprintf("band/%02d-%s%s", i, filepath.Base(filepath.Dir(path)), filepath.Ext(path)), data)
	}
	for n := range 120 - published {
		d.record(fmt.Sprintf("%s/sound-%02d.wav", neighbours[n%len(neighbours)], n), 50+n%24, n)
	}
	d.does(exitDone, "intake", d.dir)
	if _, rows := d.sheet(project.SheetFile); len(rows) != 120 {
		d.Errorf("%d rows, want 120", len(rows))
	}
	if _, rows := d.sheet(project.ContributorsFile); len(rows) != 1+len(neighbours) {
		d.Errorf("%d contributors, want %d", len(rows), 1+len(neighbours))
	}
}

func (d *day) firstBuild() {
	result := d.build()
	usable := 120 - len(result.LeftOut)
	if heard := d.heardTakes(); len(heard) != usable || usable < 110 {
		d.Errorf("%d takes are in beds, want all %d that can be used", len(heard), usable)
	}
	if len(d.beds) != 12 {
		d.Errorf("%d beds, want 12 of 3 roots", len(d.beds))
	}
}

func (d *day) secondBuild() {
	before := maps.Clone(d.beds)
	if result := d.build(); len(result.Built) != 0 || len(changedBeds(before, d.beds)) != 0 {
		d.Errorf("%d beds made again", len(result.Built))
	}
}

// decideTerms: all is open; the builder decides, and one neighbour refuses.
func (d *day) decideTerms() {
	if said := d.does(exitWrong, "export", d.dir, "-o", d.out("too-early"), "--for", "sharing"); !strings.Contains(
		said, "terms are open") {
		d.Errorf("an export before anything is decided says %s", said)
	}
	letters := d.does(exitDone, "export", d.dir, "--ask", "-")
	for _, name := range neighbours {
		if !strings.Contains(letters, name) {
			d.Errorf("no letter to %s", name)
		}
	}
	var refused []string
	d.types(project.SheetFile, func(row map[string]string) {
		row["terms"] = map[string]string{"band": "CC-BY-4.0", "wherry-sal": "agreed-private",
			"old-strake": "refused"}[row["contributor"]]
		if row["terms"] == "" {
			row["terms"] = "agreed-commercial"
		}
		row["credit"] = map[string]string{"band": "the band of the packages",
			"fen-ferriby": "Fen of the ferry"}[row["contributor"]]
		if row["contributor"] == "old-strake" {
			refused = append(refused, row["take"])
		}
	})
	if said := d.does(exitWrong, "export", d.dir, "-o", d.out("refused"), "--for", "private"); !strings.Contains(
		said, refused[0]) {
		d.Errorf("an export of what was refused says %s", said)
	}
	d.build(refused...)
	for _, take := range d.heardTakes() {
		if slices.Contains(refused, take) {
			d.Errorf("%s was refused and is in a bed", take)
		}
	}
	var state struct {
		OpenTerms []any `json:"open_terms"`
	}
	if d.reads(&state, "state", d.dir); len(state.OpenTerms) > 0 {
		d.Errorf("open terms: %v, want none", state.OpenTerms)
	}
}

// exportForEachUse: what one neighbour allows among friends alone stops an export for sale, and no other.
func (d *day) exportForEachUse() {
	for _, use := range []string{"commercial", "sharing"} {
		said := d.does(exitWrong, "export", d.dir, "-o", d.out(use), "--for", use, "--parts", "bank")
		if !strings.Contains(said, "wherry-sal/") || strings.Contains(said, "fen-ferriby/") {
			d.Errorf("--for %s: %s", use, said)
		}
		if _, err := os.Stat(d.out(use)); err == nil {
			d.Errorf("--for %s is written all the same", use)
		}
	}
	d.does(exitDone, "export", d.dir, "-o", d.out("private"), "--for", "private", "--parts", "bank")
	credits := d.credits("private")
	for _, want := range []string{"Fen of the ferry", "the band of the packages", "wherry-sal", "CC-BY-4.0"} {
		if !strings.Contains(credits, want) {
			d.Errorf("the credits lack %s:\n%s", want, credits)
		}
	}
	if strings.Contains(credits, "old-strake") {
		d.Error("the credits name somebody who refused")
	}
}

func (d *day) arrivals() {
	var arrived []string
	for n := 200; n < 220; n++ {
		path := fmt.Sprintf("swinney-hythe/sound-%d.wav", n)
		d.record(path, 48+n%20, n)
		arrived = append(arrived, path)
	}
	var intake intakeSummary
	d.reads(&intake, "intake", d.dir)
	if intake.Measured != 20 || len(intake.New) != 20 {
		d.Errorf("%d measured, %d new; want the 20 that arrived", intake.Measured, len(intake.New))
	}
	d.types(project.SheetFile, func(row map[string]string) {
		if row["contributor"] == "swinney-hythe" {
			row["terms"] = "CC0-1.0"
		}
	})
	d.build(arrived...)
	heard := d.heardTakes()
	for _, take := range arrived {
		if !slices.Contains(heard, take) {
			d.Errorf("%s is in no bed", take)
		}
	}
}

// rename: the takes keep their cells and their measures, and no bed changes.
func (d *day) rename() {
	folder := func(name string) string { return filepath.Join(d.dir, project.TakesFolder, name) }
	if err := os.Rename(folder("hob-marrable"), folder("hobbe-marrable")); err != nil {
		d.Fatal(err)
	}
	var intake intakeSummary
	d.reads(&intake, "intake", d.dir)
	if intake.Measured != 0 || len(intake.Moved) != 15 || len(intake.Missing) != 0 {
		d.Errorf("%d measured, %d moved, %d missing; want 0, 15, 0", intake.Measured, len(intake.Moved),
			len(intake.Missing))
	}
	_, rows := d.sheet(project.SheetFile)
	for _, row := range rows {
		if strings.HasPrefix(row["take"], "hobbe-marrable/") && row["terms"] != "agreed-commercial" {
			d.Errorf("%s lost its terms: %q", row["take"], row["terms"])
		}
	}
	before := maps.Clone(d.beds)
	d.build()
	if changed := changedBeds(before, d.beds); len(changed) > 0 {
		d.Errorf("a folder's name made %d beds anew: %v", len(changed), changed)
	}
}

// split: three strikes in one recording become three takes, and the whole is not used any more.
func (d *day) split() {
	const rateHz = 16000
	samples := make([]float32, 4*rateHz)
	for strike, key := range []int{55, 59, 62} {
		for i, x := range testsound.SineWave(rateHz, testsound.KeyHz(key), -12, 1) {
			samples[rateHz/4+strike*rateHz*5/4+i] += x * float32(math.Exp(-7*float64(i)/rateHz))
		}
	}
	testsound.AddHiss(samples, 1e-4, 9)
	d.write("tobit-oakum/three.wav", testsound.WavBytes(3, 1, rateHz, 32,
		testsound.Joined(binary.LittleEndian, samples)))
	d.does(exitDone, "split", d.dir, "tobit-oakum/three.wav", "--write")
	_, rows := d.sheet(project.SheetFile)
	stretches, whole := 0, ""
	for _, row := range rows {
		switch {
		case row["take"] != "tobit-oakum/three.wav":
		case row["from_s"] == "":
			whole = row["use"]
		default:
			stretches++
		}
	}
	if stretches != 3 || whole != "no" {
		d.Errorf("%d stretches, the whole says use = %s; want 3 and no", stretches, whole)
	}
	d.types(project.SheetFile, func(row map[string]string) {
		if row["take"] == "tobit-oakum/three.wav" {
			row["terms"] = "agreed-commercial"
		}
	})
	d.build("tobit-oakum/three.wav")
	if !slices.Contains(d.heardTakes(), "tobit-oakum/three.wav") {
		d.Error("the strikes are in no bed")
	}
}

func (d *day) pin() {
	const take, bed = "fen-ferriby/sound-06.wav", "loud-b-k060"
	d.types(project.SheetFile, func(row map[string]string) {
		if row["take"] == take {
			row["bed"] = bed
		}
	})
	d.build(take)
	for at, held := range d.takesInBeds() {
		if is := slices.Contains(held, take); is != (at == "beds/"+bed+".wav") {
			d.Errorf("%s in %s: %v; want it in %s alone", take, at, is, bed)
		}
	}
}

// tellMap: what map was told outlives the next build.
func (d *day) tellMap() {
	d.does(exitDone, "map", d.dir, "--stagger", "key", "--ranks-apart", "0.25")
	before := maps.Clone(d.beds)
	d.build()
	m, err := mapping.Load(filepath.Join(d.dir, mapping.FileName))
	if err != nil {
		d.Fatal(err)
	}
	if m.Stagger.By != mapping.ByKey || m.Zones[len(m.Zones)-1].Start != 0.25 {
		d.Errorf("after a build the map staggers by %s and the last rank begins at %v", m.Stagger.By,
			m.Zones[len(m.Zones)-1].Start)
	}
	if changed := changedBeds(before, d.beds); len(changed) > 0 {
		d.Errorf("starts made %d beds anew", len(changed))
	}
}

// keyAndLayer: the builder's ear goes before the measure. The take sounds in the soft beds alone, tuned from the key
// that the builder says.
func (d *day) keyAndLayer() {
	const take, heardAs, said = "tobit-oakum/sound-14.wav", 64, 62
	if keys := d.keysOf(take); len(keys) == 0 || math.Abs(slices.Max(keys)-heardAs) > 0.5 {
		d.Errorf("%s is tuned from %.2f, want from %d", take, keys, heardAs)
	}
	d.types(project.SheetFile, func(row map[string]string) {
		if row["take"] == take {
			row["key"], row["layer"] = fmt.Sprint(said), "soft"
		}
	})
	d.build(take)
	for bed, held := range d.takesInBeds() {
		if slices.Contains(held, take) && !strings.HasPrefix(bed, "beds/soft-") {
			d.Errorf("%s is in %s, want it in soft beds alone", take, bed)
		}
	}
	keys := d.keysOf(take)
	for _, key := range keys {
		if math.Abs(key-said) > 0.01 {
			d.Errorf("%s is tuned from %.2f, want from %d", take, key, said)
		}
	}
	if len(keys) == 0 {
		d.Errorf("%s is in no bed", take)
	}
}

// favour: a row of contributors.csv counts for all takes of a neighbour.
func (d *day) favour() {
	places := func() (n int) {
		for _, held := range d.takesInBeds() {
			for _, take := range held {
				if strings.HasPrefix(take, "ama-fennimere/") {
					n++
				}
			}
		}
		return n
	}
	before := places()
	d.types(project.ContributorsFile, func(row map[string]string) {
		if row["contributor"] == "ama-fennimere" {
			row["favour_db"], row["credit"] = "12", "Ama Fennimere, of the slip"
		}
	})
	d.build()
	if after := places(); after < before {
		d.Errorf("favoured by 12 dB, ama-fennimere has %d places; before %d", after, before)
	}
}

func (d *day) withdrawAndReturn() {
	before := maps.Clone(d.beds)
	said := d.does(exitDone, "withdraw", d.dir, "wherry-sal")
	if !strings.Contains(said, "none holds or names them any more") {
		d.Errorf("withdraw says %s", said)
	}
	for _, take := range d.heardTakes() {
		if strings.HasPrefix(take, "wherry-sal/") {
			d.Errorf("%s is withdrawn and in a bed", take)
		}
	}
	_, people := d.sheet(project.ContributorsFile)
	for _, row := range people {
		if row["contributor"] == "wherry-sal" {
			d.Error("contributors.csv names wherry-sal")
		}
	}
	d.does(exitDone, "export", d.dir, "-o", d.out("without"), "--for", "commercial", "--parts", "bank")
	if strings.Contains(d.credits("without"), "wherry-sal") {
		d.Error("the credits name wherry-sal")
	}
	d.does(exitDone, "withdraw", d.dir, "wherry-sal", "--undo")
	d.lookAtBeds()
	if heard := d.heardTakes(); !slices.ContainsFunc(heard,
		func(take string) bool { return strings.HasPrefix(take, "wherry-sal/") }) {
		d.Error("wherry-sal is back and in no bed")
	}
	_, rows := d.sheet(project.SheetFile)
	for _, row := range rows {
		if row["contributor"] == "wherry-sal" && row["terms"] != "agreed-private" {
			d.Errorf("%s came back with terms %q", row["take"], row["terms"])
		}
	}
	if d.Failed() {
		d.Logf("%d beds differ from those before", len(changedBeds(before, d.beds)))
	}
}

// undo: five takes are muted, and the state before comes back, with the very beds.
func (d *day) undo() {
	before, sound := maps.Clone(d.beds), d.sounds()
	muted := 0
	d.types(project.SheetFile, func(row map[string]string) {
		if strings.HasPrefix(row["take"], "swinney-hythe/") && muted < 5 {
			row["use"], muted = "no", muted+1
		}
	})
	d.build()
	if len(changedBeds(before, d.beds)) == 0 {
		d.Error("five takes are muted, and no bed changed")
	}
	if d.sounds() == sound {
		d.Error("five takes are muted, and a chord sounds as before")
	}
	var states []stateRow
	d.reads(&states, "back", d.dir)
	if len(states) == 0 || len(states) > 10 {
		d.Fatalf("%d states, want 1 to 10", len(states))
	}
	d.does(exitDone, "back", d.dir, fmt.Sprint(d.stateWithout(states, ".wav,no,")))
	d.build()
	if changed := changedBeds(before, d.beds); len(changed) > 0 {
		d.Errorf("back at the state before, %d beds are not what they were", len(changed))
	}
	if d.sounds() != sound {
		d.Error("back at the state before, a chord sounds otherwise")
	}
}

// lastExport: the credits name everybody who sounds, by the line that the builder wrote.
func (d *day) lastExport() {
	d.does(exitDone, "export", d.dir, "-o", d.out("evening"), "--for", "private", "--parts", "bank")
	credits := d.credits("evening")
	for _, want := range []string{"Ama Fennimere, of the slip", "Fen of the ferry", "swinney-hythe", "tobit-oakum",
		"wherry-sal", "hobbe-marrable"} {
		if !strings.Contains(credits, want) {
			d.Errorf("the credits lack %s", want)
		}
	}
	m, err := mapping.Load(filepath.Join(d.dir, mapping.FileName))
	if err != nil || len(m.BedPaths()) != len(d.beds) {
		d.Errorf("the map plays %d beds of %d: %v", len(m.BedPaths()), len(d.beds), err)
	}
	if said := d.does(exitDone, "state", d.dir); !strings.Contains(said, "what was exported is as the project is") {
		d.Errorf("state says %s", said)
	}
}
