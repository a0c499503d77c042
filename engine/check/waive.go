// Findings that the builder has heard, and lets stand: the sheet waived.csv.

package check

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"lapstrake/mapping/project"
	"lapstrake/mapping/whole"
)

// Waiver lets findings stand.
type Waiver struct {
	ID     string // of the findings; * stands for any letters
	Reason string
}

// waiverColumns is the head of the sheet.
var waiverColumns = []string{"finding", "reason"}

// ReadWaivers reads the sheet of the project in dir; none is no error. A row without a reason is one.
func ReadWaivers(dir string) ([]Waiver, error) {
	name := filepath.Join(dir, project.WaivedFile)
	data, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\ufeff"))))
	r.FieldsPerRecord = len(waiverColumns)
	var waivers []Waiver
	for {
		cells, err := r.Read()
		if err == io.EOF {
			return waivers, nil
		}
		line, _ := r.FieldPos(0)
		switch {
		case err != nil:
			return nil, fmt.Errorf("%s: %w; expected two columns, %s", name, err, strings.Join(waiverColumns, " and "))
		case line == 1 && cells[0] == waiverColumns[0]:
		case strings.TrimSpace(cells[0]) == "" || strings.TrimSpace(cells[1]) == "":
			return nil, fmt.Errorf("%s:%d: found %q and %q: expected a finding and the reason to let it stand", name,
				line, cells[0], cells[1])
		default:
			waivers = append(waivers, Waiver{cells[0], cells[1]})
		}
	}
}

// AddWaiver writes a row more into the sheet of the project in dir.
func AddWaiver(dir string, w Waiver) error {
	waivers, err := ReadWaivers(dir)
	if err != nil {
		return err
	}
	var text bytes.Buffer
	out := csv.NewWriter(&text)
	out.Write(waiverColumns)
	for _, each := range append(waivers, w) {
		out.Write([]string{each.ID, each.Reason})
	}
	out.Flush()
	return whole.Write(filepath.Join(dir, project.WaivedFile), text.Bytes())
}

// waive notes the reason of the first waiver that each finding has.
func waive(findings []Finding, waivers []Waiver) {
	for i := range findings {
		for _, w := range waivers {
			if fits, err := path.Match(w.ID, findings[i].ID); w.ID == findings[i].ID || err == nil && fits {
				findings[i].Waived = w.Reason
				break
			}
		}
	}
}
