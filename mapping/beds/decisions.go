// What a build decided that a person may want otherwise, each with the cell to change.

package beds

import (
	"fmt"
	"math"
	"slices"

	"lapstrake/mapping"
	"lapstrake/mapping/plural"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/measure"
)

// Decision is one thing that a build did to a take.
type Decision struct {
	Take string `json:"take"`
	Row  int    `json:"row"` // of the spreadsheet
	Why  string `json:"why"`
	Cell string `json:"cell"` // the columns of takes.csv that decide it otherwise
}

// String is the decision as a line.
func (d Decision) String() string {
	if d.Cell == "" {
		return d.Take + ": " + d.Why
	}
	return fmt.Sprintf("%s: %s; to change it: row %d, %s", d.Take, d.Why, d.Row, d.Cell)
}

// Untuned lists the takes that are in beds at the pitch that they came with: noise.
func (r *BuildReport) Untuned() (all []Decision) {
	for i, row := range r.Rows {
		if r.Assignment.Uses[i] == 0 || !r.Settings.Conform.Tune || pitchOf(row) > 0 || r.fitted(row) {
			continue
		}
		why, cell := whyUntuned(row)
		if hint := leadingHint(row, r.Settings.Project.MiddleC); hint != "" {
			why, cell = why+hint, "key"
		}
		all = append(all, Decision{row.Name(), row.Number, why, cell})
	}
	return all
}

// fitted says whether a take without a pitch is in a bed where it was moved to where its tones fit best.
func (r *BuildReport) fitted(row *takes.Row) bool {
	for i := range r.Heard {
		if r.Heard[i].Path == row.Path && r.Heard[i].Stretch == row.Stretch {
			return slices.ContainsFunc(r.Heard[i].Beds, func(b BedHeard) bool { return b.Fitted })
		}
	}
	return false
}

// Waiting lists the takes without a pitch of which too much is off the harmonics of a bed's root wherever they are
// moved to: they are there as noise is, until the builder decides.
func (r *BuildReport) Waiting() (all []Decision) {
	return r.ofFits("key, bed or use", func(t *TakeHeard) string {
		worst, places := BedHeard{}, 0
		for _, b := range t.Beds {
			if b.Waits {
				places++
				if b.LeftShare > worst.LeftShare {
					worst = b
				}
			}
		}
		if places == 0 {
			return ""
		}
		return fmt.Sprintf("fits in no place in %d of its %d beds: in %s %.0f %% of its tones stray; it is there as "+
			"noise is",
			places, len(t.Beds), worst.Bed, 100*worst.LeftShare)
	})
}

// lowered is by how many decibels strays are lowered from which on the report tells it.
const lowered = 12

// Lowered lists the takes whose tones off the harmonics of a root were lowered by much.
func (r *BuildReport) Lowered() (all []Decision) {
	return r.ofFits("keep_partials (-1 keeps all), bed or key", func(t *TakeHeard) string {
		most, places := BedHeard{}, 0
		for _, b := range t.Beds {
			if b.LoweredDB >= lowered {
				places++
				if b.LoweredDB > most.LoweredDB {
					most = b
				}
			}
		}
		if places == 0 {
			return ""
		}
		return fmt.Sprintf("in %d of its %d beds what is off the harmonics was lowered, by %.1f dB in %s, where "+
			"%.0f %% of it strayed", places, len(t.Beds), most.LoweredDB, most.Bed, 100*most.OffShare)
	})
}

// Mended lists the takes in which clicks were mended.
func (r *BuildReport) Mended() (all []Decision) {
	return r.ofFits("use", func(t *TakeHeard) string {
		for _, b := range t.Beds {
			if b.MendedClicks > 0 {
				return plural.Of(b.MendedClicks, "click") + " mended in it; listen whether they are sound of its own"
			}
		}
		return ""
	})
}

// ofFits lists what is to be told of how takes lie in their beds; "" is nothing.
func (r *BuildReport) ofFits(cell string, tell func(*TakeHeard) string) (all []Decision) {
	for i := range r.Heard {
		text := tell(&r.Heard[i])
		row := slices.IndexFunc(r.Rows, func(row *takes.Row) bool {
			return row.Path == r.Heard[i].Path && row.Stretch == r.Heard[i].Stretch
		})
		if text != "" && row >= 0 {
			all = append(all, Decision{r.Heard[i].Name(), r.Rows[row].Number, text, cell})
		}
	}
	return all
}

func whyUntuned(row *takes.Row) (why, cell string) {
	switch {
	case row.SaidKind == measure.Noisy:
		return "the sheet says that it is noisy", "kind"
	case row.UsedKind() == measure.Noisy:
		return "it was measured as noisy, without a pitch", "key"
	case row.Pitch.Several:
		return "it has several pitches, and none is sure", "key"
	case row.Pitch.Hz > 0:
		return fmt.Sprintf("its pitch is not sure: %.1f Hz with a confidence of %.2f", row.Pitch.Hz,
			row.Pitch.Confidence), "key"
	}
	return "no pitch was found", "key"
}

// leadingHint proposes the key of a take's leading tone; "" where none leads surely.
func leadingHint(row *takes.Row, naming mapping.Naming) string {
	if !(row.Leading.Confidence >= measure.SureLeading) {
		return ""
	}
	exact := sound.HzKey(row.Leading.Hz)
	key := int(math.Round(exact))
	return fmt.Sprintf("; a tone leads near %s (%+.0f cents, sure to %.0f %%): to tune it by that, give key %d",
		naming.Name(key), 100*(exact-float64(key)), 100*row.Leading.Confidence, key)
}

const octaveSemitones = 12

// MovedFar lists the takes that are moved by an octave or more, each with the farthest of its moves.
func (r *BuildReport) MovedFar() (all []Decision) {
	if !r.Settings.Conform.Tune {
		return nil
	}
	for i, row := range r.Rows {
		farthest, bed := 0.0, 0
		for _, seat := range r.Assignment.Places(i) {
			if math.Abs(seat.MoveSemitones) > math.Abs(farthest) {
				farthest, bed = seat.MoveSemitones, seat.Bed
			}
		}
		if math.Abs(farthest) >= octaveSemitones {
			all = append(all, Decision{row.Name(), row.Number,
				fmt.Sprintf("moved by %+.1f semitones in %s", farthest,
					r.Assignment.Slots[bed]), "bed, or key if its pitch is wrong"})
		}
	}
	return all
}

const (
	outstandingPart  = 0.9 // of a bed's length
	outstandingTimes = 3   // the mean of the others
	fewestOthers     = 2
)

// StandOut lists the takes that are audible nearly throughout a bed whose other takes are heard for much less.
func (r *BuildReport) StandOut() (all []Decision) {
	type company struct {
		takes int
		sec   float64
	}
	beds := map[string]company{}
	for i := range r.Heard {
		for _, b := range r.Heard[i].Beds {
			beds[b.Bed] = company{beds[b.Bed].takes + 1, beds[b.Bed].sec + b.Sec()}
		}
	}
	number := map[string]int{}
	for _, row := range r.Rows {
		number[row.Name()] = row.Number
	}
	for i := range r.Heard {
		take := &r.Heard[i]
		for _, b := range take.Beds {
			others := beds[b.Bed].takes - 1
			sec := b.Sec()
			mean := (beds[b.Bed].sec - sec) / float64(max(others, 1))
			if others >= fewestOthers && sec >= outstandingPart*b.BedSec && sec >= outstandingTimes*mean {
				all = append(all, Decision{take.Name(), number[take.Name()],
					fmt.Sprintf("heard for %.1f s of each turn of %s, the others for %.1f s on average",
						sec, b.Bed, mean),
					"gain_db or favour_db"})
				break
			}
		}
	}
	return all
}

// NotUsed lists the takes that are in no bed, by decision or for want of a seat.
func (r *BuildReport) NotUsed() (all []LeftOutRow) {
	all = append(all, r.LeftOut...)
	for _, unused := range r.Assignment.Unused {
		row, cell := r.Rows[unused.Index], ""
		if row.Bed != "" {
			cell = "bed"
		}
		all = append(all, LeftOutRow{row.Name(), row.Number, unused.Reason, cell})
	}
	return all
}

// String is the row as a line.
func (l LeftOutRow) String() string { return Decision{l.Path, l.Row, l.Reason, l.Cell}.String() }
