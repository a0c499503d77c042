// The proof goes by content: it finds what still holds a take, under whatever name.

package withdraw

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping/beds"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/decode"
)

// bed lays a bed of some takes into the project, as a build notes it.
func (p yard) bed(record map[string]any, name, sound string, held ...Take) {
	p.t.Helper()
	path := p.path(project.BedsFolder, name)
	p.write(path, sound)
	hash, err := decode.Hash(path)
	if err != nil {
		p.t.Fatal(err)
	}
	var inside []map[string]any
	for _, take := range held {
		inside = append(inside, map[string]any{"path": take.Path, "sha256": take.Hash})
	}
	record[name] = map[string]any{"bed": name, "size_bytes": len(sound), "sha256": hash, "takes": inside}
}

func (p yard) write(path, text string) {
	p.t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		p.t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		p.t.Fatal(err)
	}
}

// record writes the record of a build, which was broken off while it made some beds.
func (p yard) record(built map[string]any, making ...string) {
	p.t.Helper()
	text, err := json.Marshal(map[string]any{"beds": built, "making": making})
	if err != nil {
		p.t.Fatal(err)
	}
	p.write(p.path(project.BedsFolder, project.BuiltFile), string(text))
}

func (p yard) look() *Beds {
	p.t.Helper()
	beds, err := LookAtBeds(p.dir)
	if err != nil {
		p.t.Fatal(err)
	}
	return beds
}

// built is the yard with three beds: one of anna's saw, one of bob's sluice, one of both.
func built(t *testing.T) (p yard, saw, sluice Take) {
	p = newYard(t)
	for _, row := range p.sheet().Rows {
		switch row.Path {
		case "anna/saw.wav":
			saw = Take{Path: row.Path, Hash: row.Hash}
		case "bob/sluice.wav":
			sluice = Take{Path: row.Path, Hash: row.Hash}
		}
	}
	record := map[string]any{}
	p.bed(record, "soft-a-k060.wav", "the saw", saw)
	p.bed(record, "soft-b-k060.wav", "the sluice", sluice)
	p.bed(record, "loud-a-k060.wav", "saw and sluice", saw, sluice)
	p.record(record)
	return p, saw, sluice
}

func TestProofFindsWhatIsLeft(t *testing.T) {
	p, saw, sluice := built(t)
	before := p.look()
	gone := p.out(saw.Path)
	record := map[string]any{}
	p.bed(record, "soft-b-k060.wav", "the sluice", sluice)
	p.bed(record, "loud-a-k060.wav", "sluice alone", sluice)
	p.record(record)
	if err := os.Remove(p.path(project.BedsFolder, "soft-a-k060.wav")); err != nil {
		t.Fatal(err)
	}
	proof, err := Prove(p.dir, gone, before)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(proof.Removed, []string{"beds/soft-a-k060.wav"}) ||
		!slices.Equal(proof.Remade, []string{"beds/loud-a-k060.wav"}) || proof.Same != 1 || len(proof.Rearranged) > 0 {
		t.Errorf("removed %q, remade %q, same %d, rearranged %q", proof.Removed, proof.Remade, proof.Same,
			proof.Rearranged)
	}
	if len(proof.Remains) > 0 || proof.Files == 0 {
		t.Errorf("%d files searched, remains %q; want none", proof.Files, proof.Remains)
	}

	p.write(p.path("notes", "copy.dat"), string(p.sound[saw.Path]))
	p.write(p.path("notes", "list.txt"), "I like "+saw.Path+" best")
	p.write(p.path("notes", "sums.txt"), saw.Hash)
	p.write(p.path("notes", "report.html"), "<td>"+saw.Path+"</td>")
	course := []*hearing.Course{{}}
	if err := beds.KeepCourses(p.path(project.BedsFolder, "soft-a-k060.wav"), "", []beds.TakeInBed{{Hash: saw.Hash}},
		course); err != nil {
		t.Fatal(err)
	}
	if err := beds.KeepCourses(p.path(project.BedsFolder, "soft-b-k060.wav"), "",
		[]beds.TakeInBed{{Hash: sluice.Hash}}, course); err != nil {
		t.Fatal(err)
	}
	p.write(p.path(".lapstrake-states", "1", "takes.csv"), saw.Path)
	p.write(p.path(project.BedsFolder, "soft-a-k060.wav"), "the saw")
	if proof, err = Prove(p.dir, gone, before); err != nil {
		t.Fatal(err)
	}
	want := []string{
		"beds/.soft-a-k060.courses: names anna/saw.wav",
		"beds/soft-a-k060.wav: is the very bed that held a withdrawn take",
		"notes/copy.dat: is a copy of a withdrawn take",
		"notes/list.txt: names anna/saw.wav",
		"notes/report.html: names anna/saw.wav",
		"notes/sums.txt: names anna/saw.wav",
	}
	if !slices.Equal(proof.Remains, want) {
		t.Errorf("remains:\n%s\nwant:\n%s", strings.Join(proof.Remains, "\n"), strings.Join(want, "\n"))
	}
	if !slices.Equal(proof.States, []string{".lapstrake-states/1/takes.csv"}) {
		t.Errorf("states: %q", proof.States)
	}
}

// A withdrawal was broken off after it had made a bed anew, and before the record told so: the bed is nobody's edit,
// and once a build has noted it, it is not taken for the bed that held the take.
func TestProofAfterAWithdrawalWasBrokenOff(t *testing.T) {
	p, saw, sluice := built(t)
	const bed, sound = "loud-a-k060.wav", "sluice alone"
	record := map[string]any{}
	p.bed(record, bed, "saw and sluice", saw, sluice)
	p.write(p.path(project.BedsFolder, bed), sound)
	for _, other := range []string{"soft-a-k060.wav", "soft-b-k060.wav"} {
		if err := os.Remove(p.path(project.BedsFolder, other)); err != nil {
			t.Fatal(err)
		}
	}
	p.record(record, bed)
	before := p.look()
	gone := p.out(saw.Path)
	if removed, err := before.RemoveEdited(p.dir, gone); err != nil || len(removed) > 0 {
		t.Errorf("removed as edited by hand: %q, %v; want none", removed, err)
	}
	proof, err := Prove(p.dir, gone, before)
	if want := "beds/" + bed + ": is the very bed that held a withdrawn take"; err != nil ||
		!slices.Contains(proof.Remains, want) {
		t.Errorf("before it is noted what lies there: remains %q, %v; want %q", proof.Remains, err, want)
	}
	p.bed(record, bed, sound, sluice)
	p.record(record)
	proof, err = Prove(p.dir, gone, before)
	if err != nil || len(proof.Remains) > 0 || proof.Same != 1 {
		t.Errorf("remains %q, %d the same, %v; want none, and the one bed the same", proof.Remains, proof.Same, err)
	}
}

// A bed that was edited by hand and holds a take goes; other edited beds stay.
func TestEditedBedsOfATakeGo(t *testing.T) {
	p, saw, _ := built(t)
	for _, bed := range []string{"soft-a-k060.wav", "soft-b-k060.wav"} {
		p.write(p.path(project.BedsFolder, bed), "edited by hand, longer than before")
	}
	removed, err := p.look().RemoveEdited(p.dir, []Take{saw})
	if err != nil || !slices.Equal(removed, []string{"beds/soft-a-k060.wav"}) {
		t.Errorf("removed %q, %v", removed, err)
	}
	for bed, stays := range map[string]bool{"soft-a-k060.wav": false, "soft-b-k060.wav": true,
		"loud-a-k060.wav": true} {
		if exists(p.path(project.BedsFolder, bed)) != stays {
			t.Errorf("%s: is there: %v, want %v", bed, !stays, stays)
		}
	}
}

func TestChoose(t *testing.T) {
	rows := newYard(t).sheet().Rows
	for _, c := range []struct {
		word  string
		takes []string
	}{
		{"anna", []string{"anna/plane.wav", "anna/saw.wav"}},
		{"Anna", []string{"anna/plane.wav", "anna/saw.wav"}},
		{"takes/anna/saw.wav", []string{"anna/saw.wav"}},
		{"bob/sluice.wav", []string{"bob/sluice.wav"}},
	} {
		if got, err := Choose(rows, c.word); err != nil || !slices.Equal(got, c.takes) {
			t.Errorf("%s: %q, %v, want %q", c.word, got, err, c.takes)
		}
	}
	if _, err := Choose(rows, "ana"); err == nil || !strings.Contains(err.Error(), `the nearest is "anna"`) {
		t.Errorf("ana: %v", err)
	}
}
