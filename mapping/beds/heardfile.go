// heard.csv, the ledger as a file: who is heard in which bed, and when, for any spreadsheet.

package beds

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"

	"lapstrake/mapping/beds/arrange"
	"lapstrake/mapping/ledger"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/whole"
)

// heardColumns are the titles. For each place of the dynamics there are the seconds of each turn for which the take is
// heard, empty where its bed does not sound, and the stretches of the bed in which it stands out.
var heardColumns = func() []string {
	titles := []string{"take", "contributor", "from_s", "to_s", "bed", "bed_s"}
	for _, dynamics := range ledger.Dynamics {
		titles = append(titles, heardTitle(dynamics), stretchesTitle(dynamics))
	}
	return append(titles, "buried", "raised_db", "brought_out", "tuned", "moved_semitones")
}()

func heardTitle(dynamics int) string     { return fmt.Sprintf("heard_s_at_%d", dynamics) }
func stretchesTitle(dynamics int) string { return fmt.Sprintf("stands_out_at_%d", dynamics) }

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
			row := []string{takes.Defuse(t.Path), takes.Defuse(takes.ContributorName(t.Contributor)),
				seconds(t.FromSec), seconds(t.ToSec), b.Bed, seconds(b.BedSec)}
			for _, dynamics := range ledger.Dynamics {
				heard, stretches := "", ""
				if k := slices.IndexFunc(b.At, func(at HeardAt) bool { return at.Dynamics == dynamics }); k >= 0 {
					heard, stretches = number(b.At[k].Sec, 1), stretchesText(b.At[k].Stretches)
				}
				row = append(row, heard, stretches)
			}
			w.Write(append(row, yesNo(b.Buried), number(b.RaisedDB, 1), bellsText(b.Bells), yesNo(b.Tuned),
				number(b.MoveSemitones, 2)))
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

// stretchesText is such as "0.25 to 4.5 by 6.1; 9 to 12 by 3": seconds of the bed, and dB.
func stretchesText(all []ledger.Stretch) string {
	var texts []string
	for _, s := range all {
		texts = append(texts, fmt.Sprintf("%g to %g by %.1f", s.FromSec, s.ToSec, s.ByDB))
	}
	return strings.Join(texts, "; ")
}

func parseStretches(text string) (all []ledger.Stretch, err error) {
	if text == "" {
		return nil, nil
	}
	for part := range strings.SplitSeq(text, ";") {
		s := ledger.Stretch{}
		if _, err := fmt.Sscanf(part, "%g to %g by %g", &s.FromSec, &s.ToSec, &s.ByDB); err != nil {
			return nil, fmt.Errorf("found %q, expected stretches such as \"0.25 to 4.5 by 6.1; 9 to 12 by 3\"", text)
		}
		all = append(all, s)
	}
	return all, nil
}

// bellsText is such as "820 Hz by 4.0; 2310 Hz by 2.5": middles, and dB.
func bellsText(bells []arrange.Bell) string {
	var texts []string
	for _, b := range bells {
		texts = append(texts, fmt.Sprintf("%.0f Hz by %.1f", b.Hz, b.DB))
	}
	return strings.Join(texts, "; ")
}

func parseBells(text string) (bells []arrange.Bell, err error) {
	if text == "" {
		return nil, nil
	}
	for part := range strings.SplitSeq(text, ";") {
		b := arrange.Bell{}
		if _, err := fmt.Sscanf(part, "%g Hz by %g", &b.Hz, &b.DB); err != nil {
			return nil, fmt.Errorf("found %q, expected bells such as \"820 Hz by 4.0; 2310 Hz by 2.5\"", text)
		}
		bells = append(bells, b)
	}
	return bells, nil
}

// ReadHeard reads the ledger at path as a build wrote it. Columns are known by their titles. A file that is not there
// gives fs.ErrNotExist.
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
		if !slices.Contains(rows[0], title) {
			return nil, fmt.Errorf("%s: row 1: found the columns %q, expected %q; run `lapstrake build` to write it "+
				"anew", path, rows[0], heardColumns)
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
		"from_s": &take.FromSec, "to_s": &take.ToSec, "bed_s": &h.BedSec, "raised_db": &h.RaisedDB,
		"moved_semitones": &h.MoveSemitones,
	}
	h.At = make([]HeardAt, len(ledger.Dynamics))
	for d, dynamics := range ledger.Dynamics {
		h.At[d] = HeardAt{Dynamics: dynamics, Sec: -1} // until it is read
		numbers[heardTitle(dynamics)] = &h.At[d].Sec
	}
	for i, cell := range row {
		switch title := titles[i]; title {
		case "take":
			take.Path = takes.Undefuse(cell)
		case "contributor":
			take.Contributor = takes.Undefuse(cell)
		case "bed":
			h.Bed = cell
		case "brought_out":
			if h.Bells, err = parseBells(cell); err != nil {
				return take, h, fmt.Errorf("column %s: %w", title, err)
			}
		case "tuned":
			h.Tuned = cell == "yes"
		case "buried":
			h.Buried = cell == "yes"
		default:
			if d := slices.IndexFunc(h.At, func(at HeardAt) bool {
				return title == stretchesTitle(
					at.Dynamics)
			}); d >= 0 {
				if h.At[d].Stretches, err = parseStretches(cell); err != nil {
					return take, h, fmt.Errorf("column %s: %w", title, err)
				}
			}
			field := numbers[title]
			if field == nil || cell == "" {
				continue
			}
			if *field, err = strconv.ParseFloat(cell, 64); err != nil {
				return take, h, fmt.Errorf("column %s: found %q, expected a number", title, cell)
			}
		}
	}
	h.At = slices.DeleteFunc(h.At, func(at HeardAt) bool { return at.Sec < 0 })
	return take, h, nil
}

func yesNo(is bool) string {
	if is {
		return "yes"
	}
	return "no"
}
