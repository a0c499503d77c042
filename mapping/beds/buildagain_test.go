// Building again: what did not change stays, what did is made anew, and the bytes are the same wherever and however
// often.

package beds

import (
	"context"
	"encoding/json"
	"errors"
	"os"
	"reflect"
	"slices"
	"testing"
	"time"

	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

func TestBuildAgainChangesNothing(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	first := p.build()
	before := p.state(".")
	second := p.build()
	if len(second.Built) != 0 || second.Kept != len(first.Built) {
		t.Errorf("again: %d beds built, %d kept, want %d kept", len(second.Built), second.Kept, len(first.Built))
	}
	if p.state(".") != before {
		t.Error("again: files were written")
	}
	if !slices.EqualFunc(first.Heard, second.Heard,
		func(a, b TakeHeard) bool { return a.Path == b.Path && reflect.DeepEqual(a.Beds, b.Beds) }) {
		t.Errorf("again: heard %+v, at first %+v", second.Heard, first.Heard)
	}
}

// The same takes, sheet and settings give the same bytes: in another folder, without the record, with a broken one,
// and for beds that are gone or damaged.
func TestSameInputsSameBeds(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.build()
	want := p.beds()
	other := p.copied()
	other.build()
	sameBytes(t, "in another folder", other.beds(), want)
	if string(other.read(project.HeardFile)) != string(p.read(project.HeardFile)) ||
		string(other.read("map.toml")) != string(p.read("map.toml")) {
		t.Error("in another folder: another map or another heard.csv")
	}

	if err := os.Remove(p.path(project.BedsFolder, project.BuiltFile)); err != nil {
		t.Fatal(err)
	}
	if r := p.build(); len(r.Built) != len(want) {
		t.Errorf("without the record: %d beds built, want all %d", len(r.Built), len(want))
	}
	sameBytes(t, "without the record", p.beds(), want)

	if err := os.WriteFile(p.path(project.BedsFolder, project.BuiltFile), []byte(`{"beds": {"soft-a-k0`),
		0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(p.path(project.BedsFolder, "soft-a-k060.wav")); err != nil {
		t.Fatal(err)
	}
	p.build()
	sameBytes(t, "with a broken record", p.beds(), want)

	if err := os.Remove(p.path(project.BedsFolder, "soft-b-k060.wav")); err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(p.path(project.BedsFolder, "loud-a-k072.wav"), 1000); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(p.path(project.BedsFolder, "loud-b-k072.wav"), []byte("no sound"), 0o666); err != nil {
		t.Fatal(err)
	}
	if got, want := namesOf(p.build().Built),
		[]string{"loud-a-k072.wav", "loud-b-k072.wav", "soft-b-k060.wav"}; !slices.Equal(got, want) {
		t.Errorf("built %v, want %v", got, want)
	}
	sameBytes(t, "with beds gone and damaged", p.beds(), want)
}

// A change of one row rebuilds the beds that hold its take, and no other; taking it back gives the old bytes.
func TestEditedRowRebuildsItsBedsAlone(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	first := p.build()
	want := p.beds()
	const take = "flute/E4.mp3"
	for what, change := range map[string]func(*takes.Row, bool){
		"gain":     func(row *takes.Row, back bool) { row.GainDB = map[bool]float64{false: -6}[back] },
		"partials": func(row *takes.Row, back bool) { row.KeepPartials = map[bool]int{false: 2}[back] },
	} {
		p.edit(take, func(row *takes.Row) { change(row, false) })
		report := p.build()
		with := bedsWith(first, take)
		if len(with) == 0 || len(with) == len(want) {
			t.Fatalf("%s is in %d of %d beds: that tells nothing", take, len(with), len(want))
		}
		if got := namesOf(report.Built); !slices.Equal(got, with) {
			t.Errorf("%s: built %v, want %v, in which it is", what, got, with)
		}
		if got := differing(p.beds(), want); !slices.Equal(got, with) {
			t.Errorf("%s: other bytes in %v, want in %v", what, got, with)
		}
		p.edit(take, func(row *takes.Row) { change(row, true) })
		p.build()
		sameBytes(t, what+" taken back", p.beds(), want)
	}
}

// A take that is muted and used again is where it was: every bed has the same bytes, through other changes in between.
func TestMutedAndUsedAgainGivesTheSameBeds(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.build()
	want := p.beds()
	for _, take := range []string{"flute/E4.mp3", "misc/perc_swash.flac", "bassoon/A3.mp3"} {
		p.edit(take, func(row *takes.Row) { row.Use = false })
		p.build()
		if len(differing(p.beds(), want)) == 0 {
			t.Errorf("without %s the beds are the same", take)
		}
	}
	for _, take := range []string{"misc/perc_swash.flac", "flute/E4.mp3", "bassoon/A3.mp3"} {
		p.edit(take, func(row *takes.Row) { row.Use = true })
		p.build()
	}
	sameBytes(t, "muted and used again", p.beds(), want)
}

// A take of the same pitch and length but other samples rebuilds the beds that it is in.
func TestChangedTakeRebuildsItsBeds(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.put("anna/reed.wav", reed(1, 16000, 3, 0.2))
	p.intake()
	first, before := p.build(), p.beds()
	p.put("anna/reed.wav", reed(1, 16000, 3, 0.19))
	p.intake()
	second := p.build()
	with := bedsWith(first, "anna/reed.wav")
	if got := namesOf(second.Built); len(got) == 0 || len(got) == len(p.beds()) || !slices.Equal(got, with) {
		t.Errorf("built %v, want %v", got, with)
	}
	if got := differing(p.beds(), before); !slices.Equal(got, with) {
		t.Errorf("other bytes in %v, want in %v", got, with)
	}
}

// Settings that change what beds there are: those that are not wanted any more go with the map that names others,
// those that are not ours stay.
func TestUnwantedBedsGo(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.build()
	if err := os.WriteFile(p.path(project.BedsFolder, "mine.wav"), p.read(project.BedsFolder, "soft-a-k060.wav"),
		0o666); err != nil {
		t.Fatal(err)
	}
	narrow := shortBeds()
	narrow.Grid.HighestKey = 60
	if err := narrow.Save(p.dir); err != nil {
		t.Fatal(err)
	}
	p.build()
	if got := p.beds(); len(got) != 4 {
		t.Errorf("%d beds, want 4", len(got))
	}
	if names := p.leftovers(); !slices.Equal(names, []string{"mine.wav"}) {
		t.Errorf("beside the beds: %v, want mine.wav", names)
	}
	var record buildRecord
	if err := json.Unmarshal(p.read(project.BedsFolder, project.BuiltFile), &record); err != nil ||
		len(record.Beds) != 4 {
		t.Errorf("%d beds in the record, %v", len(record.Beds), err)
	}
}

// A map edited by hand stays, with the beds that it plays, until it is asked to go.
func TestEditedMapStays(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	path := p.build().MapPath
	edited := "# mine\n" + string(p.read("map.toml"))
	if err := os.WriteFile(path, []byte(edited), 0o666); err != nil {
		t.Fatal(err)
	}
	narrow := shortBeds()
	narrow.Grid.HighestKey = 60
	if err := narrow.Save(p.dir); err != nil {
		t.Fatal(err)
	}
	report := p.build()
	if !report.MapKept || string(p.read("map.toml")) != edited || len(p.beds()) != 8 {
		t.Errorf("kept: %v; %d beds, want the 8 that the map plays", report.MapKept, len(p.beds()))
	}
	report, err := Build(p.t.Context(), p.dir, BuildOptions{Force: true})
	if err != nil || report.MapKept || string(p.read("map.toml")) == edited || len(p.beds()) != 4 {
		t.Errorf("with force: %v, %d beds, want a new map and 4", err, len(p.beds()))
	}
}

// A copy that lost the times of its files has beds that are as built: none is made again, and only a bed of other
// content is not as built.
func TestBuildOfACopyWithoutTimes(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	built := len(p.build().Built)
	paths := []string{}
	later := time.Now().Add(time.Hour)
	for name := range p.beds() {
		paths = append(paths, project.BedsFolder+"/"+name)
		if err := os.Chtimes(p.path(project.BedsFolder, name), later, later); err != nil {
			t.Fatal(err)
		}
	}
	if r := p.build(); len(r.Built) != 0 || r.Kept != built {
		t.Errorf("%d beds built, %d kept, want all %d kept", len(r.Built), r.Kept, built)
	}
	if foreign, err := NotAsBuilt(p.dir, append(paths, "other/soft-a-k060.wav", "beds/none.wav")); err != nil ||
		!slices.Equal(foreign, []string{"other/soft-a-k060.wav", "beds/none.wav"}) {
		t.Errorf("not as built: %q, %v", foreign, err)
	}
	before := p.state(".")
	if p.build(); p.state(".") != before {
		t.Error("again: files were written, though all times are known by now")
	}
	data := p.read(project.BedsFolder, "soft-a-k060.wav")
	data[len(data)-1] ^= 1
	if err := os.WriteFile(p.path(project.BedsFolder, "soft-a-k060.wav"), data, 0o666); err != nil {
		t.Fatal(err)
	}
	if foreign, err := NotAsBuilt(p.dir, paths); err != nil ||
		!slices.Equal(foreign, []string{"beds/soft-a-k060.wav"}) {
		t.Errorf("not as built: %q, %v, want the one that was changed", foreign, err)
	}
}

// A build that is broken off keeps the beds that are done; the next one makes only the others.
func TestBuildEndsWithItsContext(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	ctx, stop := context.WithCancel(t.Context())
	if _, err := Build(ctx, p.dir, BuildOptions{Progress: func(float64) { stop() }}); !errors.Is(err,
		context.Canceled) {
		t.Fatalf("error %v, want the context's", err)
	}
	if report := p.build(); report.Kept == 0 || len(report.Built) == 0 || len(report.Built)+report.Kept != 8 {
		t.Errorf("%d beds made after the end, %d kept; want 8 together, some of each", len(report.Built), report.Kept)
	}
}
