// The sheet of marks: marks.csv, a row for each, that a person may read, sort and comment in any spreadsheet.

package mark

import (
	"errors"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

// Row is what the sheet says of a mark. But for the number, which leads to all that is needed to hear it again, it is
// for people.
type Row struct {
	Number      int     `json:"mark"`
	When        string  `json:"when"`
	Remark      string  `json:"remark"`
	Keys        string  `json:"keys"`
	Dynamics    int     `json:"dynamics"` // 0 to 127; −1 where the cell is empty
	Controllers string  `json:"controllers"`
	Loudest     string  `json:"loudest"` // contributors, the loudest first
	Takes       string  `json:"takes"`
	Places      string  `json:"places"`
	Beds        string  `json:"beds"`
	Performance string  `json:"performance"` // the .mid, where one was recorded
	AtSec       float64 `json:"at_s"`        // since the player began, as in the recording
}

var rowColumns = []string{"mark", "when", "remark", "keys", "dynamics", "controllers", "loudest", "takes", "places",
	"beds", "performance", "at_s"}

// ReadRows reads the sheet of the project in dir, in the order of its rows; none is no error. Every cell that cannot
// be understood is a *takes.CellError, all of them joined.
func ReadRows(dir string) ([]Row, error) {
	_, rows, err := readSheet(dir)
	return rows, err
}

func readSheet(dir string) (*takes.Table, []Row, error) {
	sheet, err := takes.ReadTable(filepath.Join(dir, project.MarksFile), rowColumns)
	if err != nil {
		return nil, nil, err
	}
	var rows []Row
	var problems []error
	first := map[int]int{}
	for _, number := range sheet.Rows() {
		row, wrong := readRow(sheet, number)
		problems = append(problems, wrong...)
		if other, twice := first[row.Number]; twice && row.Number > 0 {
			problems = append(problems, sheet.Wrong(number, "mark",
				fmt.Sprintf("each mark once, and row %d is about it already", other), "delete one of the two rows"))
		}
		first[row.Number] = number
		rows = append(rows, row)
	}
	if err := errors.Join(problems...); err != nil {
		return nil, nil, err
	}
	return sheet, rows, nil
}

func readRow(sheet *takes.Table, number int) (row Row, wrong []error) {
	text := func(column string) string { return strings.TrimSpace(sheet.Cell(number, column)) }
	mark, err := takes.ParseDecimal(text("mark"))
	if row.Number = int(mark); err != nil || float64(row.Number) != mark || row.Number < 1 {
		wrong = append(wrong, sheet.Wrong(number, "mark", "the number of a mark, 1 or more",
			"put it back: it is that of a file in "+project.MarksFolder+"/"))
	}
	row.Dynamics = -1
	if cell := text("dynamics"); cell != "" {
		value, err := takes.ParseDecimal(cell)
		if row.Dynamics = int(value); err != nil || float64(row.Dynamics) != value || row.Dynamics < 0 ||
			row.Dynamics > 127 {
			wrong = append(wrong, sheet.Wrong(number, "dynamics", "0 to 127, or nothing", "correct the cell"))
		}
	}
	if cell := text("at_s"); cell != "" {
		if row.AtSec, err = takes.ParseDecimal(cell); err != nil || !(row.AtSec >= 0 && row.AtSec < 1e12) {
			wrong = append(wrong, sheet.Wrong(number, "at_s", "seconds since the player began, 0 or more, or nothing",
				"correct the cell"))
		}
	}
	row.When, row.Remark, row.Keys, row.Controllers = text("when"), text("remark"), text("keys"), text("controllers")
	row.Loudest, row.Takes, row.Places = text("loudest"), text("takes"), text("places")
	row.Beds, row.Performance = text("beds"), text("performance")
	return row, wrong
}

func (r *Row) cells(sheet *takes.Table) map[string]string {
	return map[string]string{
		"mark": strconv.Itoa(r.Number), "when": r.When, "remark": r.Remark, "keys": r.Keys,
		"dynamics": strconv.Itoa(r.Dynamics), "controllers": r.Controllers, "loudest": r.Loudest, "takes": r.Takes,
		"places": r.Places, "beds": r.Beds, "performance": r.Performance, "at_s": sheet.Decimal(r.AtSec, 6),
	}
}

// told is the row with what a mark says for people. Marks keep remark and performance.
func (r Row) told(m *Mark) (Row, error) {
	played, err := m.PlayedMap()
	if err != nil {
		return r, err
	}
	r.Number, r.When = m.Number, m.When.Local().Format("2006-01-02 15:04:05")
	r.AtSec = float64(m.Frame) / float64(played.RateHz)
	var keys, places, beds, heard []string
	var last = -1
	for _, p := range m.Sounding {
		name := played.MiddleC.Name(p.Key)
		if p.Key != last {
			keys, last = append(keys, name), p.Key
		}
		places = append(places, fmt.Sprintf("%s: %s%s %s %s %.3f of %.3f s", name, p.Rank, played.MiddleC.Name(p.Root),
			p.Layer, p.Strand, p.AtSec, p.CycleSec))
	}
	for _, b := range m.Beds {
		beds = append(beds, b.Path+" "+b.Hash[:min(len(b.Hash), 12)])
	}
	for _, t := range m.Audible {
		heard = append(heard, fmt.Sprintf("%s (%.2g sones)", t.Name, t.Sones))
	}
	r.Keys, r.Places, r.Beds, r.Takes = strings.Join(keys, " "), strings.Join(places, "; "), strings.Join(beds, "; "),
		strings.Join(heard, "; ")
	r.Loudest = strings.Join(m.Loudest(), ", ")
	r.controllers(m, played)
	return r, nil
}

// Loudest are the contributors of those who stood out, each once, the loudest first.
func (m *Mark) Loudest() (names []string) {
	seen := map[string]bool{}
	for _, t := range m.Audible {
		if name := takes.ContributorName(t.Contributor); !seen[name] {
			seen[name] = true
			names = append(names, name)
		}
	}
	return names
}

// controllers tells where each controller stood that had been moved.
func (r *Row) controllers(m *Mark, played *mapping.Map) {
	values := m.controllers()
	if r.Dynamics = values[played.Dynamics.Controller]; r.Dynamics < 0 {
		r.Dynamics = played.Dynamics.Initial
	}
	var moved []string
	for number, value := range values {
		if value >= 0 {
			moved = append(moved, fmt.Sprintf("CC%d %d", number, value))
		}
	}
	r.Controllers = strings.Join(moved, ", ")
}

// controllers are the values at the mark, −1 where one had not been moved.
func (m *Mark) controllers() [128]int {
	values := m.Begin.Controls.Values
	for _, e := range m.Events {
		if e.Message[0]&0xF0 == 0xB0 && (m.Channel == 0 || int(e.Message[0]&0x0F) == m.Channel-1) {
			values[e.Message[1]] = int(e.Message[2])
		}
	}
	return values
}
