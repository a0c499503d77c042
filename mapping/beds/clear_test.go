// A project of which no take is left.

package beds

import (
	"errors"
	"os"
	"slices"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

func TestClearTakesWhatWasBuiltAway(t *testing.T) {
	for _, byHand := range []bool{false, true} {
		p := newProject(t, shortBeds(), aFew...)
		p.build()
		want, before := p.beds(), p.state(project.TakesFolder)
		mapText := string(p.read(mapping.FileName))
		if byHand {
			if err := os.WriteFile(p.path(mapping.FileName), []byte("# mine\n"+mapText), 0o666); err != nil {
				t.Fatal(err)
			}
		}
		for _, take := range aFew {
			p.edit(take, func(row *takes.Row) { row.Use = false })
		}
		if _, err := Build(t.Context(), p.dir, BuildOptions{}); !errors.Is(err, ErrNoTakes) {
			t.Fatalf("nothing to build from: %v, want %v", err, ErrNoTakes)
		}
		for range 2 { // again, as after a run that was broken off
			if kept, err := Clear(p.dir, false); err != nil || kept != byHand {
				t.Errorf("by hand %v: kept %v, %v", byHand, kept, err)
			}
		}
		left, err := os.ReadDir(p.dir)
		if err != nil {
			t.Fatal(err)
		}
		var names []string
		for _, entry := range left {
			names = append(names, entry.Name())
		}
		stays := []string{project.ContributorsFile, project.SettingsFile, project.SheetFile, project.TakesFolder}
		if byHand {
			stays = append(stays, mapping.FileName)
		}
		slices.Sort(stays)
		if !slices.Equal(names, stays) || p.state(project.TakesFolder) != before {
			t.Errorf("by hand %v: left %q, want %q and the takes as they were", byHand, names, stays)
		}
		for _, take := range aFew {
			p.edit(take, func(row *takes.Row) { row.Use = true })
		}
		p.build()
		sameBytes(t, "built again", p.beds(), want)
	}
}

// Beds that are no build's own stay.
func TestClearLeavesBedsByHand(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.build()
	edited := string(p.editBed(editedBed))
	p.writeBed("mine.wav", []byte("mine"))
	if _, err := Clear(p.dir, false); err != nil {
		t.Fatal(err)
	}
	if string(p.read(project.BedsFolder, editedBed)) != edited ||
		string(p.read(project.BedsFolder, "mine.wav")) != "mine" {
		t.Error("a bed by hand was changed")
	}
	if got := p.beds(); len(got) != 1 {
		t.Errorf("%d beds are left, want the edited one", len(got))
	}
}
