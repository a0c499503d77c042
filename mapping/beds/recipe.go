// A recipe is all that a bed is made from: the same recipe gives the same bed.

package beds

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"hash/fnv"
	"slices"

	"lapstrake/mapping"
	"lapstrake/mapping/beds/assign"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/takes/measure"
)

// renderVersion is raised whenever the same recipe would give another bed than before.
const renderVersion = 7

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

	// what sounds beside it, and the dB by which it is darkened for that with each octave, nil while that is open; the
	// record remembers both, so they make no other recipe
	company  hearing.Company
	darkerDB *float64
}

// ingredient is one take in a bed.
type ingredient struct {
	Path, Hash   string
	FromSec      float64      `json:",omitempty"` // of the file, as takes.Stretch has it
	ToSec        float64      `json:",omitempty"`
	Used         *decode.Span `json:",omitempty"` // of a long take, from its stretch's beginning; nil: all of it
	Kind         measure.Kind
	TakeKey      int // -1: not tuned
	TargetKey    int
	GainDB       float64
	KeepPartials int
	PitchHz      float64 // 0: none
	FavourDB     float64 `json:",omitempty"`

	row   *takes.Row
	moved *float64 // in semitones, octaves included; nil: not tuned
}

// recipes says for every slot what its bed is made from.
func recipes(rows []*takes.Row, a *assign.Assignment, s *project.Settings) []recipe {
	all := make([]recipe, len(a.Slots))
	for i, slot := range a.Slots {
		r := recipe{
			Version: renderVersion, Slot: slot, Frames: s.BedFrames(), RateHz: s.Project.RateHz,
			Seed: slotSeed(slot, s.Project.Seed),
		}
		r.Conform, r.Arrange = s.ForLayer(slot.Layer)
		for _, seat := range a.Beds[i] {
			r.Parts = append(r.Parts, newIngredient(rows[seat.Index], slot.Root+12*seat.Octave))
			if part := &r.Parts[len(r.Parts)-1]; r.Conform.Tune && part.TakeKey >= 0 {
				part.moved = &seat.MoveSemitones
			}
		}
		all[i] = r
	}
	return all
}

func newIngredient(row *takes.Row, targetKey int) ingredient {
	part := ingredient{
		Path: row.Path, Hash: row.Hash, FromSec: row.FromSec, ToSec: row.ToSec, Kind: row.UsedKind(), TakeKey: -1,
		TargetKey: targetKey,
		GainDB:    row.AllGainDB(), FavourDB: row.AllFavourDB(), KeepPartials: row.KeepPartials, row: row,
	}
	if row.Long() {
		used := row.Used()
		part.Used = &used
	}
	if hz := pitchOf(row); hz > 0 {
		part.PitchHz = hz
		part.TakeKey, _ = measure.Pitch{Hz: hz}.Key()
	}
	return part
}

// stretch is the part of the file that goes in.
func (in *ingredient) stretch() takes.Stretch {
	return takes.Stretch{FromSec: in.FromSec, ToSec: in.ToSec}
}

// name is that of the take.
func (in *ingredient) name() string { return takes.TakeName(in.Path, in.stretch()) }

// slotSeed gives every bed a chance of its own, whatever other beds there are.
func slotSeed(slot mapping.BedName, seed int64) uint64 {
	h := fnv.New64a()
	h.Write([]byte(slot.String()))
	return h.Sum64() ^ uint64(seed)*0x9E3779B97F4A7C15
}

// takeSeed is a number of the take's own, whatever other takes are in the bed.
func takeSeed(in *ingredient) int {
	h := fnv.New32a()
	h.Write([]byte(in.Hash + in.stretch().String()))
	return int(h.Sum32() >> 1)
}

// nameless is the recipe's name whatever its takes are called: a bed of the same takes is the same bed.
func (r *recipe) nameless() string {
	same := *r
	same.Parts = slices.Clone(r.Parts)
	for i := range same.Parts {
		same.Parts[i].Path = ""
	}
	return same.key()
}

// key is the recipe's name in the record.
func (r *recipe) key() string {
	data, err := json.Marshal(r)
	if err != nil {
		panic("beds: a recipe holds a number that JSON has no word for: " + err.Error())
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
