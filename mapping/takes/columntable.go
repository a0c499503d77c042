// The columns of the take sheet, in the order of a new sheet.

package takes

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"

	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/takes/terms"
)

// columns are all that the sheet knows: the builder's first, then what is measured. Decimals are
// such that what is built from the sheet is built as from the measures themselves.
var columns = []column{
	ofBuilder(column{name: "take", text: func(r *Row, _ SheetOptions) string { return Defuse(r.Path) },
		read: readPath}),
	ofBuilder(yesNoColumn("use", true, func(r *Row) *bool { return &r.Use })),
	ofBuilder(column{name: "contributor", text: func(r *Row, _ SheetOptions) string { return Defuse(r.Contributor) },
		read: readContributor}),
	ofBuilder(textColumn("credit", func(r *Row) *string { return &r.Credit })),
	ofBuilder(textColumn("consent", func(r *Row) *string { return &r.Consent })),
	ofBuilder(termsColumn),
	ofBuilder(textColumn("title", func(r *Row) *string { return &r.Title })),
	ofBuilder(choiceColumn("layer", func(r *Row) *string { return &r.Layer },
		func(o SheetOptions) []string { return o.Layers })),
	ofBuilder(choiceColumn("strand", func(r *Row) *string { return &r.Strand },
		func(o SheetOptions) []string { return o.Strands })),
	ofBuilder(column{name: "key", text: keyText, read: readKey}),
	ofBuilder(column{name: "gain_db", number: true, text: gainText, read: readGain}),
	ofBuilder(wholeUpTo(mostPartials, "how many partials to keep",
		wholeColumn("keep_partials", func(r *Row) *int { return &r.KeepPartials }))),
	ofBuilder(column{name: kindColumnName, text: func(r *Row, _ SheetOptions) string { return string(r.SaidKind) },
		read: readSaidKind}),
	ofBuilder(column{name: "bed", text: func(r *Row, _ SheetOptions) string { return r.Bed }, read: readBed}),
	ofBuilder(column{name: "favour_db", number: true, text: favourText, read: readFavour}),
	ofBuilder(stretchColumn("from_s", "beginning", func(r *Row) *float64 { return &r.FromSec })),
	ofBuilder(stretchColumn("to_s", "end", func(r *Row) *float64 { return &r.ToSec })),
	ofBuilder(textColumn("remarks", func(r *Row) *string { return &r.Remarks })),

	ofIntake(derivedColumn("suggested_terms", false,
		func(r *Row, _ SheetOptions) string { return string(terms.Suggest(r.Consent)) })),
	textColumn("suggested_layer", func(r *Row) *string { return &r.SuggestedLayer }),
	textColumn("suggested_strand", func(r *Row) *string { return &r.SuggestedStrand }),

	{name: measuredKindName, text: func(r *Row, _ SheetOptions) string { return string(r.Kind) }, read: readKind},
	decimalColumn("pitch_hz", 3, func(r *Row) *float64 { return &r.Pitch.Hz }),
	derivedColumn("pitch_key", false, pitchKeyText),
	derivedColumn("pitch_note", false, pitchNoteText),
	derivedColumn("pitch_cents", true, pitchCentsText),
	decimalColumn("pitch_confidence", 3, func(r *Row) *float64 { return &r.Pitch.Confidence }),
	decimalColumn("pitch_drift_cents", 1, func(r *Row) *float64 { return &r.Pitch.DriftCents }),
	yesNoColumn("several_pitches", false, func(r *Row) *bool { return &r.Pitch.Several }),
	decimalColumn("leading_hz", 3, func(r *Row) *float64 { return &r.Leading.Hz }),
	decimalColumn("leading_confidence", 3, func(r *Row) *float64 { return &r.Leading.Confidence }),
	decimalColumn("length_s", 6, func(r *Row) *float64 { return &r.Seconds }),
	decimalColumn("onset_s", 4, func(r *Row) *float64 { return &r.OnsetSec }),
	decimalColumn("end_s", 4, func(r *Row) *float64 { return &r.EndSec }),
	yesNoColumn("speech", false, func(r *Row) *bool { return &r.Speech }),
	countColumn("strikes", func(r *Row) *int { return &r.Strikes }),
	decimalColumn("attack_s", 4, func(r *Row) *float64 { return &r.AttackSec }),
	decimalColumn("decay_db_per_s", 2, func(r *Row) *float64 { return &r.DecayDBPerS }),
	decimalColumn("steadiness_db", 2, func(r *Row) *float64 { return &r.SteadinessDB }),
	decimalColumn("peak_dbfs", 2, func(r *Row) *float64 { return &r.PeakDBFS }),
	decimalColumn("true_peak_dbtp", 2, func(r *Row) *float64 { return &r.TruePeakDBTP }),
	decimalColumn("loudness_lufs", 2, func(r *Row) *float64 { return &r.LoudnessLUFS }),
	decimalColumn("max_short_term_lufs", 2, func(r *Row) *float64 { return &r.MaxShortTermLUFS }),
	decimalColumn("max_momentary_lufs", 2, func(r *Row) *float64 { return &r.MaxMomentaryLUFS }),
	decimalColumn("k_level_lufs", 2, func(r *Row) *float64 { return &r.KLevelLUFS }),
	decimalColumn("noise_floor_dbfs", 2, func(r *Row) *float64 { return &r.NoiseFloorDBFS }),
	yesNoColumn("noise_from_pauses", false, func(r *Row) *bool { return &r.NoiseFromPauses }),
	decimalColumn("snr_db", 2, func(r *Row) *float64 { return &r.SNRDB }),
	decimalColumn("hum_dbfs", 2, func(r *Row) *float64 { return &r.HumDBFS }),
	wholeColumn("hum_mains_hz", func(r *Row) *int { return &r.HumMainsHz }),
	countColumn("clipped_runs", func(r *Row) *int { return &r.ClippedRuns }),
	decimalColumn("clipped_ms", 3, func(r *Row) *float64 { return &r.ClippedMs }),
	decimalColumn("dc_percent", 4, func(r *Row) *float64 { return &r.DCPercent }),
	decimalColumn("brightness_hz", 1, func(r *Row) *float64 { return &r.BrightnessHz }),
	decimalColumn("bandwidth_hz", 1, func(r *Row) *float64 { return &r.BandwidthHz }),
	decimalColumn("noisiness", 4, func(r *Row) *float64 { return &r.Noisiness }),
	decimalColumn("width", 4, func(r *Row) *float64 { return &r.Width }),
	decimalColumn("correlation", 4, func(r *Row) *float64 { return &r.Correlation }),
	decimalColumn("balance_db", 2, func(r *Row) *float64 { return &r.BalanceDB }),
	decimalColumn("mono_loss_db", 2, func(r *Row) *float64 { return &r.MonoLossDB }),
	textColumn("format", func(r *Row) *string { return &r.Format }),
	wholeColumn("rate_hz", func(r *Row) *int { return &r.RateHz }),
	wholeColumn("bits", func(r *Row) *int { return &r.Bits }),
	yesNoColumn("float", false, func(r *Row) *bool { return &r.Float }),
	wholeColumn("channels", func(r *Row) *int { return &r.Channels }),
	textColumn("fingerprint", func(r *Row) *string { return (*string)(&r.Fingerprint) }),

	ofIntake(column{name: "flags", text: flagsText, read: readFlags}),
	ofIntake(textColumn("problem", func(r *Row) *string { return &r.Problem })),
	ofIntake(textColumn("sha256", func(r *Row) *string { return &r.Hash })),
	ofIntake(textColumn("measures_check", func(r *Row) *string { return &r.check })),
}

// takeColumn says which file a row is about. It is found by name, since columns refer to it.
var takeColumn = &columns[0]

func readPath(r *Row, cell string, _ SheetOptions) error {
	r.Path = Undefuse(cell) // spaces at the ends may be part of a file's name
	if r.Path == "." || !fs.ValidPath(r.Path) {
		return errors.New("the path of a file inside takes/, with forward slashes, such as anna/bell.wav")
	}
	return nil
}

// readContributor leaves the first folder of the path where the cell is empty.
func readContributor(r *Row, cell string, _ SheetOptions) error {
	if said := Undefuse(strings.TrimSpace(cell)); said != "" {
		r.Contributor = said
	}
	return nil
}

// choiceColumn holds one of some names, Both, or nothing.
func choiceColumn(name string, field func(*Row) *string, choices func(SheetOptions) []string) column {
	return column{name: name,
		text: func(r *Row, _ SheetOptions) string { return *field(r) },
		read: func(r *Row, cell string, o SheetOptions) error {
			said := strings.ToLower(strings.TrimSpace(cell))
			if said != "" && said != Both && !slices.Contains(choices(o), said) {
				return fmt.Errorf("%s, %s, or nothing to take the suggestion", strings.Join(choices(o), ", "), Both)
			}
			*field(r) = said
			return nil
		}}
}

func keyText(r *Row, _ SheetOptions) string {
	if r.Key < 0 {
		return ""
	}
	return strconv.Itoa(r.Key)
}

func readKey(r *Row, cell string, o SheetOptions) error {
	cell = strings.TrimSpace(cell)
	if cell == "" {
		r.Key = -1
		return nil
	}
	if number, err := parseWhole(cell); err == nil {
		cell = strconv.Itoa(number)
	}
	key, err := o.MiddleC.ParseKey(cell)
	if err != nil {
		return fmt.Errorf("a MIDI key from 0 to 127, a name such as F#3 with middle C (key 60) as %s, or nothing to "+
			"take the measured one", o.MiddleC)
	}
	r.Key = key
	return nil
}

const (
	mostGainDB   = 60
	mostFavourDB = 12
)

func gainText(r *Row, _ SheetOptions) string { return decibelText(r.GainDB) }

func favourText(r *Row, _ SheetOptions) string { return decibelText(r.FavourDB) }

func readGain(r *Row, cell string, _ SheetOptions) (err error) {
	r.GainDB, err = parseDecibel(cell, mostGainDB)
	return err
}

func readFavour(r *Row, cell string, _ SheetOptions) (err error) {
	r.FavourDB, err = parseDecibel(cell, mostFavourDB)
	return err
}

func decibelText(db float64) string {
	if db == 0 {
		return ""
	}
	return strconv.FormatFloat(db, 'f', -1, 64)
}

// parseDecibel reads dB up to so many either way; an empty cell is 0.
func parseDecibel(cell string, most float64) (float64, error) {
	db, err := parseDecimal(cell)
	switch {
	case err != nil || math.Abs(db) > most:
		return 0, fmt.Errorf("dB from -%g to %g, or nothing", most, most)
	case math.IsNaN(db):
		db = 0
	}
	return db, nil
}

const mostPartials = 1000

// wholeUpTo bounds a column of whole numbers.
func wholeUpTo(most int, what string, c column) column {
	read := c.read
	c.read = func(r *Row, cell string, o SheetOptions) error {
		if count, err := parseWhole(cell); err != nil || count < 0 || count > most {
			return fmt.Errorf("%s, 1 to %d, or nothing for all", what, most)
		}
		return read(r, cell, o)
	}
	return c
}

// What a take does, as the builder says and as it was measured.
const (
	kindColumnName   = "kind"
	measuredKindName = "measured_kind"
)

// allKinds are what a take may do.
var allKinds = []measure.Kind{measure.Struck, measure.Held, measure.Noisy}

func readKind(r *Row, cell string, _ SheetOptions) error {
	if r.Kind = measure.Kind(strings.ToLower(strings.TrimSpace(cell))); !slices.Contains(allKinds, r.Kind) {
		return fmt.Errorf("%s, %s or %s", measure.Struck, measure.Held, measure.Noisy)
	}
	return nil
}

func readSaidKind(r *Row, cell string, _ SheetOptions) error {
	r.SaidKind = measure.Kind(strings.ToLower(strings.TrimSpace(cell)))
	if r.SaidKind != "" && !slices.Contains(allKinds, r.SaidKind) {
		return fmt.Errorf("%s, %s, %s, or nothing to take the measured one", measure.Struck,
			measure.Held, measure.Noisy)
	}
	return nil
}
