// heard.csv, the ledger as a file: who is heard in which bed, for any spreadsheet.

package beds

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"slices"
	"strconv"

	"lapstrake/mapping/takes"
	"lapstrake/mapping/whole"
)

var heardColumns = []string{
	"take", "contributor", "from_s", "to_s", "bed",
	"audible_sec", "sounding_sec", "best_band_hz", "raised_db", "tuned", "moved_semitones", "buried",
}

// laterHeardColumns are those that ledgers of before lack.
var laterHeardColumns = []string{"from_s", "to_s", "tuned"}

// saveHeard writes a row for every take and bed. A file that would not change is left alone.
func saveHeard(path string, r *BuildReport) error {
	var text bytes.Buffer
	w := csv.NewWriter(&text)
	w.Write(heardColumns)
	seconds := func(sec float64) string {
		if sec == 0 {
			return "" // as in the sheet
		}
		return strconv.FormatFloat(sec, 'f', -1, 64)
	}
	number := func(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }
	for _, t := range r.Heard {
		for _, b := range t.Beds {
			w.Write([]string{takes.Defuse(t.Path), takes.Defuse(takes.ContributorName(t.Contributor)),
				seconds(t.FromSec), seconds(t.ToSec), b.Bed, number(b.AudibleSec, 1), number(b.SoundingSec, 1),
				number(b.BestBandHz, 0),
				number(b.RaisedDB, 1), yesNo(b.Tuned), number(b.MoveSemitones, 2), yesNo(b.Heard.Buried())})
		}
	}
	w.Flush()
	if err := w.Error(); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	if old, err := os.ReadFile(path); err == nil && bytes.Equal(old, text.Bytes()) {
		return nil
	}
	return whole.Write(path, text.Bytes())
}

// ReadHeard reads the ledger at path as a build wrote it; it does not tell how long a bed is, so BedSec is 0. Columns
// are known by their titles: ledgers of before lack some. A file that is not there gives fs.ErrNotExist.
func ReadHeard(path string) ([]TakeHeard, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w; run `lapstrake build` to write it anew", path, err)
	}
	if len(rows) == 0 {
		return nil, nil
	}
	for _, title := range heardColumns {
		if !slices.Contains(rows[0], title) && !slices.Contains(laterHeardColumns, title) {
			return nil, fmt.Errorf("%s: row 1: found the columns %q, expected %q; run `lapstrake build` to write it "+
				"anew", path,
				rows[0], heardColumns)
		}
	}
	var all []TakeHeard
	at := map[string]int{} // by name
	for i, row := range rows[1:] {
		take, heard, err := readHeardRow(rows[0], row)
		if err != nil {
			return nil, fmt.Errorf("%s: row %d: %w; run `lapstrake build` to write it anew", path, i+2, err)
		}
		k, found := at[take.Name()]
		if !found {
			k = len(all)
			at[take.Name()] = k
			if take.Contributor == takes.Unnamed {
				take.Contributor = ""
			}
			all = append(all, take)
		}
		all[k].Beds = append(all[k].Beds, heard)
	}
	return all, nil
}

func readHeardRow(titles, row []string) (take TakeHeard, h BedHeard, err error) {
	numbers := map[string]*float64{
		"from_s": &take.FromSec, "to_s": &take.ToSec, "audible_sec": &h.AudibleSec, "sounding_sec": &h.SoundingSec,
		"best_band_hz": &h.BestBandHz, "raised_db": &h.RaisedDB, "moved_semitones": &h.MoveSemitones,
	}
	for i, cell := range row {
		switch title := titles[i]; title {
		case "take":
			take.Path = takes.Undefuse(cell)
		case "contributor":
			take.Contributor = takes.Undefuse(cell)
		case "bed":
			h.Bed = cell
		case "tuned":
			h.Tuned = cell == "yes"
		default:
			field := numbers[title]
			if field == nil || cell == "" && slices.Contains(laterHeardColumns, title) {
				continue
			}
			if *field, err = strconv.ParseFloat(cell, 64); err != nil {
				return take, h, fmt.Errorf("column %s: found %q, expected a number", title, cell)
			}
		}
	}
	return take, h, nil
}

func yesNo(is bool) string {
	if is {
		return "yes"
	}
	return "no"
}
