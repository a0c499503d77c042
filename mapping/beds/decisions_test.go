// Checks that a build tells what a person may want otherwise, and that heard.csv tells the same.

package beds

import (
	"math"
	"path/filepath"
	"strings"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/measure"
)

func TestABuildTellsWhatItDecided(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.edit("bassoon/A3.mp3", func(r *takes.Row) { r.Key = 36; r.Bed = "72" }) // three octaves up
	p.edit("flute/E4.mp3", func(r *takes.Row) { r.SaidKind = measure.Noisy })
	p.edit("piano/C4v10.flac", func(r *takes.Row) { r.Use = false })
	p.edit("guitar-acoustic/B3.mp3", func(r *takes.Row) { r.Bed = "61" })
	report := p.build()
	for name, c := range map[string]struct {
		got  []Decision
		want string
	}{
		"untuned": {report.Untuned(), "flute/E4.mp3: the sheet says that it is noisy; to change it: row 4, kind"},
		"moved":   {report.MovedFar(), "bassoon/A3.mp3: moved by +"},
	} {
		found := false
		for _, d := range c.got {
			found = found || strings.HasPrefix(d.String(), c.want)
		}
		if !found {
			t.Errorf("%s: %v, want %q", name, c.got, c.want)
		}
	}
	var left []string
	for _, l := range report.NotUsed() {
		left = append(left, l.String())
	}
	all := strings.Join(left, "\n")
	for _, want := range []string{
		"piano/C4v10.flac: the sheet says use = no; to change it: row 7, use",
		"guitar-acoustic/B3.mp3: pinned to root 61, and there is no such bed: the roots are 60 72; to change it: " +
			"row 5, bed",
	} {
		if !strings.Contains(all, want) {
			t.Errorf("left out are\n%s\nwant\n%s", all, want)
		}
	}
	heard, err := ReadHeard(filepath.Join(p.dir, project.HeardFile))
	if err != nil {
		t.Fatal(err)
	}
	for _, take := range heard {
		for _, b := range take.Beds {
			switch take.Path {
			case "flute/E4.mp3":
				if b.Tuned || b.MoveSemitones != 0 {
					t.Errorf("the ledger says that an untuned take is tuned by %g semitones", b.MoveSemitones)
				}
			case "bassoon/A3.mp3":
				if !b.Tuned || math.Abs(b.MoveSemitones) < 20 {
					t.Errorf("the ledger says tuned %v by %g semitones, want the octaves too",
						b.Tuned, b.MoveSemitones)
				}
			}
		}
	}
}

// A take that is heard throughout while the others hardly are stands out.
func TestStandOut(t *testing.T) {
	r := &BuildReport{Rows: []*takes.Row{{Path: "a.wav", Number: 2}, {Path: "b.wav", Number: 3},
		{Path: "c.wav", Number: 4}}}
	for i, sec := range []float64{14.5, 3, 4} {
		h := BedHeard{Bed: "soft-a-k060.wav"}
		h.At, h.BedSec = []HeardAt{{Dynamics: 0, Sec: sec}}, 15
		r.Heard = append(r.Heard, TakeHeard{Path: r.Rows[i].Path, Beds: []BedHeard{h}})
	}
	if got := r.StandOut(); len(got) != 1 || got[0].Row != 2 || got[0].Cell != "gain_db or favour_db" {
		t.Errorf("standing out are %v, want the first take", got)
	}
	r.Heard[1].Beds[0].At[0].Sec = 12
	if got := r.StandOut(); len(got) > 0 {
		t.Errorf("standing out are %v, want none: another is heard as long", got)
	}
}

// What has no plain pitch but a tone that leads is listed with the key to give; noise and an unsure tone are not.
func TestLeadingTonesAreProposed(t *testing.T) {
	row := takes.NewRow("bell.wav")
	row.Leading = measure.Leading{Hz: 219.2, Confidence: 0.8}
	if got, want := leadingHint(&row, mapping.MiddleC4),
		"; a tone leads near A3 (-6 cents, sure to 80 %): to tune it by that, give key 57"; got != want {
		t.Errorf("it says %q, want %q", got, want)
	}
	row.Leading.Confidence = 0.4
	if got := leadingHint(&row, mapping.MiddleC4); got != "" {
		t.Errorf("of an unsure tone it says %q", got)
	}
}
