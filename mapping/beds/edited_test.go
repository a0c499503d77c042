// Beds that a person edited: the build keeps them, says so, and tells them from damage.

package beds

import (
	"bytes"
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

const editedBed = "loud-b-k072.wav"

// editBed turns one bit in the middle of a bed's sound and returns the file's bytes.
func (p yard) editBed(name string) []byte {
	p.t.Helper()
	data := p.read(project.BedsFolder, name)
	data[len(data)/2] ^= 1
	p.writeBed(name, data)
	return data
}

func (p yard) writeBed(name string, data []byte) {
	p.t.Helper()
	if err := os.WriteFile(p.path(project.BedsFolder, name), data, 0o666); err != nil {
		p.t.Fatal(err)
	}
}

func (p yard) objections() *Objections {
	p.t.Helper()
	m, err := mapping.Load(p.path(mapping.FileName))
	if err != nil {
		p.t.Fatal(err)
	}
	objections, err := Compare(p.dir, m)
	if err != nil {
		p.t.Fatal(err)
	}
	return objections
}

// An edited bed stays through builds, is named, is no bed to be made again, and goes when that is asked for.
func TestEditedBedStays(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.build()
	want, heard := p.beds(), string(p.read(project.HeardFile))
	edited := p.editBed(editedBed)
	path := project.BedsFolder + "/" + editedBed
	if standing, err := Stands(p.dir); err != nil || !standing.BuildDue {
		t.Errorf("before the build: none is due, %v", err)
	}
	changed, unfinished, err := ChangedSinceBuild(p.dir, []string{path})
	if err != nil || unfinished || len(changed) != 1 {
		t.Errorf("before the build: changed %v, unfinished %v, %v; want the bed", changed, unfinished, err)
	}
	for range 2 {
		report := p.build()
		if len(report.Built) != 0 || report.Kept != 7 || len(report.Edited) != 1 || report.Edited[0].String() != path {
			t.Errorf("built %v, kept %d, edited %v; want 7 kept and %s edited", report.Built, report.Kept,
				report.Edited, path)
		}
		if !bytes.Equal(p.read(project.BedsFolder, editedBed), edited) {
			t.Fatal("the edited bed was written over")
		}
	}
	if string(p.read(project.HeardFile)) != heard {
		t.Error("the ledger changed, though every take is where it was")
	}
	if changed, _, err := ChangedSinceBuild(p.dir, []string{path}); err != nil || changed != nil {
		t.Errorf("after the build: changed %v, %v; want none", changed, err)
	}
	standing, err := Stands(p.dir)
	if err != nil || len(standing.Older) != 0 || standing.BuildDue || !slices.Equal(standing.ByHand, []string{path}) {
		t.Errorf("standing: older %v, by hand %v, %v", standing.Older, standing.ByHand, err)
	}
	report, err := Build(t.Context(), p.dir, BuildOptions{ForceBeds: true})
	if err != nil || !slices.Equal(namesOf(report.Built), []string{editedBed}) ||
		!slices.Equal(namesOf(report.Overwritten), []string{editedBed}) {
		t.Fatalf("with force: %v, %v", report, err)
	}
	sameBytes(t, "with force", p.beds(), want)
}

// A take that is in an edited bed is not to sound any more: the bed stays, and the take, the bed and the changed
// recipe are objections. The ledger still names the take.
func TestEditedBedOfAMutedTakeIsAnObjection(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.build()
	edited := p.editBed(editedBed)
	path := project.BedsFolder + "/" + editedBed
	if report := p.build(); len(report.Objections.Unwanted) > 0 || len(report.Objections.Outdated()) > 0 ||
		len(report.Objections.Edited) != 1 {
		t.Errorf("of an edit alone: %+v", report.Objections)
	}
	take := p.objections().Edited[0].Takes[0].Path
	p.edit(take, func(row *takes.Row) { row.Use = false })
	if o := p.objections(); len(o.Unwanted) != 1 || !slices.Contains(o.Unwanted[0].Beds, path) {
		t.Errorf("before the build: %+v", o.Unwanted)
	}
	report := p.build()
	if !bytes.Equal(p.read(project.BedsFolder, editedBed), edited) {
		t.Fatal("the edited bed was written over")
	}
	if len(report.Edited) != 1 || !report.Edited[0].Changed {
		t.Errorf("edited: %+v, want a changed recipe", report.Edited)
	}
	o := report.Objections
	if len(o.Unwanted) != 1 || o.Unwanted[0].Take != take || !slices.Equal(o.Unwanted[0].Beds, []string{path}) {
		t.Errorf("unwanted: %+v, want %s in %s alone", o.Unwanted, take, path)
	}
	if outdated := o.Outdated(); len(outdated) != 1 || !strings.Contains(outdated[0].String(), take) {
		t.Errorf("outdated: %v, want %s with %s", outdated, path, take)
	}
	if !strings.Contains(string(p.read(project.HeardFile)), take) {
		t.Errorf("the ledger does not name %s, which still sounds", take)
	}
	if _, err := Build(t.Context(), p.dir, BuildOptions{ForceBeds: true}); err != nil {
		t.Fatal(err)
	}
	if o := p.objections(); len(o.Unwanted)+len(o.Edited) > 0 {
		t.Errorf("with force: %+v", o)
	}
}

// An edited bed of another shape is kept, and what is off is said.
func TestEditedBedOfAnotherShape(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.build()
	p.writeBed(editedBed, wavOf(1, 8000, make([]float32, 8000)))
	report := p.build()
	if len(report.Edited) != 1 {
		t.Fatalf("edited: %v", report.Edited)
	}
	want := []string{"found 8000 Hz, expected 16000 Hz", "found 1 channels, expected 2",
		"found 8000 frames, expected 32000"}
	if !slices.Equal(report.Edited[0].Off, want) {
		t.Errorf("off: %q, want %q", report.Edited[0].Off, want)
	}
}

// A bed that is cut short is damage: it is made anew and said.
func TestDamagedBedIsMadeAnew(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.build()
	want := p.beds()
	if err := os.Truncate(p.path(project.BedsFolder, editedBed), 1000); err != nil {
		t.Fatal(err)
	}
	report := p.build()
	if len(report.Edited) != 0 || len(report.Broken) != 1 || !strings.Contains(report.Broken[0], editedBed) {
		t.Errorf("edited %v, broken %v; want %s broken", report.Edited, report.Broken, editedBed)
	}
	sameBytes(t, "after damage", p.beds(), want)
}

// A build that is killed after it wrote a bed and before it noted that leaves no edit behind.
func TestBedOfAKilledBuildIsNoEdit(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.build()
	want := p.beds()
	p.editBed(editedBed) // stands for a bed of other takes
	record, err := readRecord(p.path(project.BedsFolder, project.BuiltFile))
	if err != nil {
		t.Fatal(err)
	}
	for i := range record.Answer.Slots {
		if slot := record.Answer.Slots[i]; slot.String() == editedBed {
			if err := record.begin([]*recipe{{Slot: slot}}); err != nil {
				t.Fatal(err)
			}
		}
	}
	if _, unfinished, err := ChangedSinceBuild(p.dir, nil); err != nil || !unfinished {
		t.Errorf("unfinished: %v, %v", unfinished, err)
	}
	if report := p.build(); len(report.Edited) > 0 || !slices.Equal(namesOf(report.Built), []string{editedBed}) {
		t.Errorf("built %v, edited %v", report.Built, report.Edited)
	}
	sameBytes(t, "after the kill", p.beds(), want)
	if _, unfinished, err := ChangedSinceBuild(p.dir, nil); err != nil || unfinished {
		t.Errorf("after the build: unfinished %v, %v", unfinished, err)
	}
}

// An edited bed that the settings do not ask for any more stays, and is known when they ask for it again.
func TestEditedBedOutsideOfTheGridStays(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.build()
	edited := p.editBed(editedBed)
	narrow := shortBeds()
	narrow.Grid.HighestKey = 60
	for _, settings := range []project.Settings{narrow, shortBeds()} {
		if err := settings.Save(p.dir); err != nil {
			t.Fatal(err)
		}
		p.build()
		if !bytes.Equal(p.read(project.BedsFolder, editedBed), edited) {
			t.Fatal("the edited bed was written over")
		}
	}
	var record buildRecord
	if err := json.Unmarshal(p.read(project.BedsFolder, project.BuiltFile), &record); err != nil ||
		len(record.Beds) != 8 {
		t.Errorf("%d beds in the record, %v", len(record.Beds), err)
	}
}

// A new name for a take changes no bed: an edited one is not out of date by it.
func TestRenamedTakeLeavesAnEditedBedAsItIs(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.build()
	p.editBed(editedBed)
	p.build()
	old := p.objections().Edited[0].Takes[0].Path
	if err := os.Rename(p.path(project.TakesFolder, old), p.path(project.TakesFolder, "renamed")); err != nil {
		t.Fatal(err)
	}
	p.edit(old, func(row *takes.Row) { row.Path = "renamed" })
	report := p.build()
	if len(report.Edited) != 1 || report.Edited[0].Changed || len(report.Objections.Outdated()) > 0 {
		t.Errorf("edited: %+v", report.Edited)
	}
	if strings.Contains(string(p.read(project.HeardFile)), old) {
		t.Errorf("the ledger still names %s", old)
	}
}
