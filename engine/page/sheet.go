// The take sheet as the page shows it: read again whenever it, the ledger or the settings change on disk.

package page

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"path/filepath"
	"sync"
	"time"

	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/measure"
)

// sheetTold is the sheet.
type sheetTold struct {
	Error   string              `json:"error,omitempty"` // why there is none
	Columns []string            `json:"columns"`         // whose cells can be edited
	Choices map[string][]string `json:"choices"`         // what a cell may hold, by column; others take any text
	Takes   []rowTold           `json:"takes"`

	files map[string]takeFile // by the names of takes
}

// rowTold is one row: the builder's cells in the order of Columns, then what was measured and what became of it.
type rowTold struct {
	Name     string    `json:"name"`
	Cells    []string  `json:"cells"`
	Kind     string    `json:"kind"`  // as used
	Layer    string    `json:"layer"` // as suggested, where the cell is empty
	Strand   string    `json:"strand"`
	Hz       *float64  `json:"hz"`
	Sureness *float64  `json:"sureness"` // of the pitch, 0 to 1
	LUFS     *float64  `json:"lufs"`
	Sec      *float64  `json:"sec"`
	SNRDB    *float64  `json:"snr"`
	Flags    []string  `json:"flags"`
	HeardSec float64   `json:"heardSec"` // in all beds together
	Beds     []bedHeld `json:"beds"`
}

// bedHeld is a bed that a take is in.
type bedHeld struct {
	Bed      string         `json:"bed"`
	BedSec   float64        `json:"bedSec"`
	HeardSec float64        `json:"heardSec"` // of each turn, at the dynamics that suit it
	At       []beds.HeardAt `json:"at"`       // when it stands out, at each place of the dynamics
	Moved    float64        `json:"moved"`    // semitones
	Tuned    bool           `json:"tuned"`
}

// sheetWatch knows the state in which the sheet was last told.
type sheetWatch struct {
	looked time.Time // think's own
	mu     sync.Mutex
	stamps [3]fileStamp
	files  map[string]takeFile // by the names of takes
}

func (w *sheetWatch) keep(files map[string]takeFile) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.files = files
}

func (w *sheetWatch) file(take string) (found takeFile, known bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	found, known = w.files[take]
	return found, known
}

// state is a word for it.
func (w *sheetWatch) state() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return fmt.Sprint(w.stamps)
}

type fileStamp struct {
	modified time.Time
	size     int64
}

const sheetInterval = 500 * time.Millisecond

// changed says whether a file has changed that the sheet is told from.
func (w *sheetWatch) changed(dir string, now time.Time) bool {
	if now.Sub(w.looked) < sheetInterval {
		return false
	}
	w.looked = now
	var stamps [3]fileStamp
	for i, name := range []string{project.SheetFile, project.HeardFile, project.SettingsFile} {
		stamps[i] = stampOf(filepath.Join(dir, name))
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	changed := stamps != w.stamps
	w.stamps = stamps
	return changed
}

// readSheet reads all that is told of the sheet.
func readSheet(dir string) sheetTold {
	told := sheetTold{Columns: takes.EditableColumns(), Choices: map[string][]string{}, Takes: []rowTold{},
		files: map[string]takeFile{}}
	settings, err := project.Load(dir)
	if err != nil {
		told.Error = err.Error()
		return told
	}
	sheet, err := takes.ReadSheet(filepath.Join(dir, project.SheetFile), takes.OptionsOf(&settings))
	if err != nil {
		told.Error = err.Error()
		if errors.Is(err, fs.ErrNotExist) {
			told.Error = "This project has no take sheet: its beds were brought ready-made."
		}
		return told
	}
	told.Choices = map[string][]string{
		"use": {"yes", "no"}, "kind": {"", string(measure.Struck), string(measure.Held), string(measure.Noisy)},
		"layer":  append([]string{"", takes.Both}, settings.Project.Layers...),
		"strand": append([]string{"", takes.Both}, settings.Project.Strands...),
	}
	heard := map[string]*beds.TakeHeard{}
	if all, err := beds.ReadHeard(filepath.Join(dir, project.HeardFile)); err == nil {
		for i := range all {
			heard[all[i].Name()] = &all[i]
		}
	}
	for i := range sheet.Rows {
		told.files[sheet.Rows[i].Name()] = takeFile{sheet.Rows[i].Path, sheet.Rows[i].Span()}
		told.Takes = append(told.Takes, rowOf(sheet, &sheet.Rows[i], told.Columns, heard[sheet.Rows[i].Name()]))
	}
	return told
}

func rowOf(sheet *takes.Sheet, row *takes.Row, columns []string, heard *beds.TakeHeard) rowTold {
	r := rowTold{Name: row.Name(), Kind: string(row.UsedKind()), Layer: row.SuggestedLayer,
		Strand: row.SuggestedStrand, Flags: []string{}, Beds: []bedHeld{}}
	for _, column := range columns {
		text, _ := sheet.Cell(row, column)
		r.Cells = append(r.Cells, text)
	}
	if row.Measured() {
		r.Hz, r.Sureness, r.LUFS = figure(row.Hz()), figure(row.Pitch.Confidence), figure(row.LoudnessLUFS)
		r.Sec, r.SNRDB = figure(row.Seconds), figure(row.SNRDB)
	}
	for _, flag := range row.Flags {
		r.Flags = append(r.Flags, string(flag))
	}
	if row.Problem != "" {
		r.Flags = append(r.Flags, row.Problem)
	}
	if heard != nil {
		r.HeardSec = math.Round(10*heard.Sec()) / 10
		for _, bed := range heard.Beds {
			r.Beds = append(r.Beds, bedHeld{bed.Bed, bed.BedSec, math.Round(10*bed.Sec()) / 10, bed.At,
				math.Round(100*bed.MoveSemitones) / 100, bed.Tuned})
		}
	}
	return r
}

// figure is a number that JSON can hold; nil for none, and for a pitch of 0.
func figure(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) || x == 0 {
		return nil
	}
	x = math.Round(1000*x) / 1000
	return &x
}
