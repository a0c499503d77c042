// Which takes of the sheet may go into beds, and as what.

package beds

import (
	"math"

	"lapstrake/mapping/beds/assign"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/takes/terms"
)

// UsableRows are the takes that a build may use, and why it may not use the others.
func UsableRows(sheet *takes.Sheet, requireConsent bool) (usable []*takes.Row, leftOut []LeftOutRow) {
	leave := func(row *takes.Row, reason, cell string) {
		leftOut = append(leftOut, LeftOutRow{row.Name(), row.Number, reason, cell})
	}
	// the name of the take that is used, by its stretch and its file's hash
	used := map[takes.Stretch]map[string]string{}
	for i := range sheet.Rows {
		row := &sheet.Rows[i]
		switch {
		case !row.Use:
			leave(row, "the sheet says use = no", "use")
		case row.Terms == terms.Refused:
			leave(row, refusedTerms, "terms")
		case row.Missing:
			leave(row, "its file is missing", "")
		case row.Problem != "":
			leave(row, row.Problem, "")
		case !row.Measured():
			leave(row, "its measured columns are not as they were measured: run `lapstrake intake`", "")
		case math.IsNaN(row.OnsetSec):
			leave(row, "nothing sounds in it", "use")
		case requireConsent && !row.Signed():
			leave(row, "credit or consent are missing, and lapstrake.toml says require_consent", "credit and consent")
		case used[row.Stretch][row.Hash] != "":
			leave(row, "the same recording as "+used[row.Stretch][row.Hash], "from_s and to_s")
		default:
			if used[row.Stretch] == nil {
				used[row.Stretch] = map[string]string{}
			}
			used[row.Stretch][row.Hash] = row.Name()
			usable = append(usable, row)
		}
	}
	return usable, leftOut
}

// Candidates makes candidates of rows; their Index is the row's place.
func Candidates(rows []*takes.Row) []assign.Candidate {
	candidates := make([]assign.Candidate, len(rows))
	for i, row := range rows {
		c := assign.Candidate{
			Index: i, Contributor: row.Contributor, Kind: row.UsedKind(), Key: math.NaN(),
			Layer: row.SuggestedLayer, Strand: row.SuggestedStrand,
			BrightnessHz: row.BrightnessHz, LoudnessLUFS: row.KLevelLUFS, Seconds: row.EndSec - row.OnsetSec,
			FavourDB: row.AllFavourDB(),
		}
		if row.Layer != "" {
			c.Layer, c.EveryLayer = row.Layer, row.Layer == takes.Both
			c.LayerFixed = !c.EveryLayer
		}
		if row.Strand != "" {
			c.Strand, c.EveryStrand = row.Strand, row.Strand == takes.Both
			c.StrandFixed = !c.EveryStrand
		}
		if bed, pinned := row.PinnedTo(); pinned {
			c.Pin = &assign.Pin{Layer: bed.Layer, Strand: bed.Strand, Root: bed.Root}
			if bed.Layer != "" {
				c.Layer, c.LayerFixed, c.EveryLayer = bed.Layer, true, false
				c.Strand, c.StrandFixed, c.EveryStrand = bed.Strand, true, false
			}
		}
		if c.Layer == takes.Both {
			c.Layer = ""
		}
		if c.Strand == takes.Both {
			c.Strand = ""
		}
		if hz := pitchOf(row); hz > 0 {
			c.Key = sound.HzKey(hz)
			if c.Kind == measure.Noisy {
				c.Kind = measure.Held // the builder says that it has a pitch
			}
		} else if row.Leading.Hz > 0 && c.Kind != measure.Noisy {
			c.Key, c.Fits = sound.HzKey(row.Leading.Hz), true
		}
		candidates[i] = c
	}
	return candidates
}

// pitchOf is the pitch by which a take is tuned: where the builder says a key, or where a pitch was measured with
// confidence on what is no noise. It is NaN otherwise: tuning by a doubtful pitch would do more harm than none.
func pitchOf(row *takes.Row) float64 {
	if row.Key >= 0 || row.UsedKind() != measure.Noisy && row.Pitch.Sure() {
		return row.Hz()
	}
	return math.NaN()
}

// LeftOutRow is a take that is in no bed by decision.
type LeftOutRow struct {
	Path   string `json:"path"`
	Row    int    `json:"row"` // of the spreadsheet
	Reason string `json:"reason"`
	Cell   string `json:"cell"` // the columns of takes.csv that decide it otherwise, "" where the sheet does not
}
