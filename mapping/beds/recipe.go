// A recipe is all that a bed is made from: the same recipe gives the same bed.

package beds

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"hash/fnv"
	"math"

	"lapstrake/mapping"
	"lapstrake/mapping/beds/assign"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/measure"
)

// renderVersion is raised whenever the same recipe would give another bed than before.
const renderVersion = 2

// recipe is all that decides a bed's samples.
type recipe struct {
	Version int
	Slot    mapping.BedName
	Frames  int
	RateHz  int
	Seed    uint64
	Conform project.ConformSettings
	Arrange project.ArrangeSettings
	Parts   []ingredient
}

// ingredient is one take in a bed.
type ingredient struct {
	Path, Hash   string
	Kind         measure.Kind
	TakeKey      int // -1: not tuned
	TargetKey    int
	GainDB       float64
	KeepPartials int
	PitchHz      float64 // 0: none

	row *takes.Row
}

// UsableRows are the takes that a build may use, and why it may not use the others.
func UsableRows(sheet *takes.Sheet, requireConsent bool) (usable []*takes.Row, leftOut []LeftOutRow) {
	leave := func(row *takes.Row, reason string) { leftOut = append(leftOut, LeftOutRow{row.Path, reason}) }
	used := map[string]string{} // the path of the take that is used, by its hash
	for i := range sheet.Rows {
		row := &sheet.Rows[i]
		switch {
		case !row.Use:
			leave(row, "the sheet says use = no")
		case row.Missing:
			leave(row, "its file is missing")
		case row.Problem != "":
			leave(row, row.Problem)
		case !row.Measured():
			leave(row, "its measured columns are not as they were measured: run `lapstrake intake`")
		case math.IsNaN(row.OnsetSec):
			leave(row, "nothing sounds in it")
		case requireConsent && !row.Signed():
			leave(row, "credit or consent are missing, and lapstrake.toml says require_consent")
		case used[row.Hash] != "":
			leave(row, "the same recording as "+used[row.Hash])
		default:
			used[row.Hash] = row.Path
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
			Index: i, Contributor: row.Contributor, Kind: row.Kind, Key: math.NaN(),
			Layer: row.SuggestedLayer, Strand: row.SuggestedStrand,
			BrightnessHz: row.BrightnessHz, LoudnessLUFS: row.KLevelLUFS, Seconds: row.EndSec - row.OnsetSec,
		}
		if row.Layer != "" {
			c.Layer, c.LayerFixed = row.Layer, row.Layer != takes.Both
		}
		if row.Strand != "" {
			c.Strand, c.StrandFixed = row.Strand, row.Strand != takes.Both
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
		}
		candidates[i] = c
	}
	return candidates
}

// recipes says for every slot what its bed is made from.
func recipes(rows []*takes.Row, a *assign.Assignment, s *project.Settings) []recipe {
	all := make([]recipe, len(a.Slots))
	for i, slot := range a.Slots {
		r := recipe{
			Version: renderVersion, Slot: slot, Frames: s.BedFrames(), RateHz: s.Project.RateHz,
			Seed: slotSeed(slot, s.Project.Seed), Conform: s.Conform, Arrange: s.Arrange,
		}
		r.Arrange.TargetLUFS -= s.LayerBelowLoudDB(slot.Layer)
		for _, seat := range a.Beds[i] {
			r.Parts = append(r.Parts, newIngredient(rows[seat.Index], slot.Root+12*seat.Octave))
		}
		all[i] = r
	}
	return all
}

// pitchOf is the pitch by which a take is tuned: where the builder says a key, or where a pitch was measured with
// confidence on what is no noise. It is NaN otherwise: tuning by a doubtful pitch would do more harm than none.
func pitchOf(row *takes.Row) float64 {
	if row.Key >= 0 || row.Kind != measure.Noisy && row.Pitch.Sure() {
		return row.Hz()
	}
	return math.NaN()
}

func newIngredient(row *takes.Row, targetKey int) ingredient {
	part := ingredient{Path: row.Path, Hash: row.Hash, Kind: row.Kind, TakeKey: -1, TargetKey: targetKey, GainDB: row.GainDB, KeepPartials: row.KeepPartials, row: row}
	if hz := pitchOf(row); hz > 0 {
		part.PitchHz = hz
		part.TakeKey, _ = measure.Pitch{Hz: hz}.Key()
	}
	return part
}

// slotSeed gives every bed a chance of its own, whatever other beds there are.
func slotSeed(slot mapping.BedName, seed int64) uint64 {
	h := fnv.New64a()
	h.Write([]byte(slot.String()))
	return h.Sum64() ^ uint64(seed)*0x9E3779B97F4A7C15
}

// takeSeed is a number of the take's own, whatever other takes are in the bed.
func takeSeed(hash string) int {
	h := fnv.New32a()
	h.Write([]byte(hash))
	return int(h.Sum32() >> 1)
}

// key is the recipe's name in the ledger.
func (r *recipe) key() string {
	data, err := json.Marshal(r)
	if err != nil {
		panic("beds: a recipe holds a number that JSON has no word for: " + err.Error())
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
