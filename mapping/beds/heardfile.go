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
	"take", "contributor", "bed",
	"audible_sec", "sounding_sec", "best_band_hz", "raised_db", "moved_semitones", "buried",
}

// saveHeard writes a row for every take and bed. A file that would not change is left alone.
func saveHeard(path string, r *BuildReport) error {
	var text bytes.Buffer
	w := csv.NewWriter(&text)
	w.Write(heardColumns)
	number := func(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }
	for _, t := range r.Heard {
		for _, b := range t.Beds {
			buried := "no"
			if b.Heard.Buried() {
				buried = "yes"
			}
			w.Write([]string{t.Path, takes.ContributorName(t.Contributor), b.Bed, number(b.AudibleSec, 1), number(b.SoundingSec, 1), number(b.BestBandHz, 0),
				number(b.RaisedDB, 1), number(b.MoveSemitones, 2), buried})
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

// ReadHeard reads the ledger at path as a build wrote it; it does not tell how long a bed is, so BedSec is 0. A file
// that is not there gives fs.ErrNotExist.
func ReadHeard(path string) ([]TakeHeard, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	r := csv.NewReader(bytes.NewReader(data))
	r.FieldsPerRecord = len(heardColumns)
	rows, err := r.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w; run `lapstrake build` to write it anew", path, err)
	}
	var all []TakeHeard
	at := map[string]int{}
	for i, row := range rows {
		if i == 0 {
			if !slices.Equal(row, heardColumns) {
				return nil, fmt.Errorf("%s: row 1: found the columns %q, expected %q; run `lapstrake build` to write it anew", path, row, heardColumns)
			}
			continue
		}
		heard, err := readHeardRow(row)
		if err != nil {
			return nil, fmt.Errorf("%s: row %d: %w; run `lapstrake build` to write it anew", path, i+1, err)
		}
		k, found := at[row[0]]
		if !found {
			k = len(all)
			at[row[0]] = k
			all = append(all, TakeHeard{Path: row[0], Contributor: row[1]})
			if row[1] == takes.Unnamed {
				all[k].Contributor = ""
			}
		}
		all[k].Beds = append(all[k].Beds, heard)
	}
	return all, nil
}

func readHeardRow(row []string) (BedHeard, error) {
	h := BedHeard{Bed: row[2]}
	for i, field := range []*float64{&h.AudibleSec, &h.SoundingSec, &h.BestBandHz, &h.RaisedDB, &h.MoveSemitones} {
		number, err := strconv.ParseFloat(row[3+i], 64)
		if err != nil {
			return h, fmt.Errorf("column %s: found %q, expected a number", heardColumns[3+i], row[3+i])
		}
		*field = number
	}
	return h, nil
}
