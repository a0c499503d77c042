// A row of the take sheet: one take, what the builder says of it and what was measured on it.

package takes

import (
	"math"
	"slices"
	"strings"

	"lapstrake/mapping"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/takes/terms"
)

// Row is one take. What the builder says stands first; intake never changes that.
type Row struct {
	Path    string // inside takes/, with slashes
	Stretch        // of the file

	Use          bool
	Contributor  string      // the first folder of Path unless the builder says otherwise
	Credit       string      // the line to print
	Consent      string      // licence or consent, in the builder's words
	Terms        terms.Terms // what the contributor allows, as the builder decided; "": open
	Title        string
	Layer        string // a layer's name, Both, or "": as suggested
	Strand       string // a strand's name, Both, or "": as suggested
	Key          int    // MIDI key that the take sounds, -1: as measured
	GainDB       float64
	KeepPartials int     // 0: all
	FavourDB     float64 // how much rather than others it is chosen, and leads: 6 counts about twice
	// a root's key or a bed's name such as soft-a-k048, the only place the take may go; "": anywhere
	Bed      string
	SaidKind measure.Kind // what the take does, "": as measured
	Remarks  string

	// Kind is "" and the other measures mean nothing where the take was never measured or cannot be read.
	SuggestedLayer  string // a layer's name or Both; "" when nothing was measured
	SuggestedStrand string
	measure.Measures
	Flags   []measure.Flag
	Problem string // why the take cannot be read, "" if it can
	Hash    string // SHA-256 of the file, in small hexadecimal digits; "" until measured
	Missing bool   // there is no such file any more

	Number   int        // row of the spreadsheet, whose header is row 1; 0: not in it yet
	measured bool       // the measured cells are what intake once wrote there
	check    string     // checkDigits when the take was measured
	cells    []string   // as found in the sheet, nil: not in it yet
	above    [][]string // rows above this one that are about no take

	ofContributor // what contributors.csv says of the contributor
}

// Both is a layer or a strand that means all of them: the builder's word that a take goes into each, or the suggestion
// that it may go into any.
const Both = "both"

// Flags that come with the file, not with its measures.
const (
	Missing    measure.Flag = "missing"     // no such file any more
	Unreadable measure.Flag = "unreadable"  // see Problem
	CutShort   measure.Flag = "cut short"   // the file ends before its declared end, or is damaged there
	Damaged    measure.Flag = "damaged"     // a checksum in the file does not fit what it holds
	NotNumbers measure.Flag = "not numbers" // some samples were NaN, infinite or far beyond full scale
)

// NewRow is a take of which nothing is known but where it lies.
func NewRow(path string) Row {
	r := Row{Path: path, Use: true, Contributor: firstFolder(path), Key: -1, Measures: measure.Absent()}
	r.Kind = ""
	return r
}

// firstFolder is the contributor that a path names: "" for a take that lies in takes/ itself.
func firstFolder(path string) string {
	folder, _, found := strings.Cut(path, "/")
	if !found {
		return ""
	}
	return folder
}

// Unnamed is what a contributor without a name is called wherever people read it.
const Unnamed = "unnamed contributor"

// ContributorName is what to call a contributor: Unnamed where the sheet has no name.
func ContributorName(contributor string) string {
	if contributor == "" {
		return Unnamed
	}
	return contributor
}

// Measured says whether the measured fields are what intake wrote. When not, because cells are
// missing or were changed, intake has to be run again.
func (r *Row) Measured() bool { return r.measured }

// Has says whether the row bears the flag.
func (r *Row) Has(flag measure.Flag) bool { return slices.Contains(r.Flags, flag) }

// Usable says whether the builder wants the take and it can be read.
func (r *Row) Usable() bool { return r.Use && !r.Missing && r.Problem == "" }

// Signed says whether the take has a credit line, and terms or, as long as nothing is decided, words of a consent.
func (r *Row) Signed() bool {
	return r.CreditLine() != "" && (!r.Terms.Open() && r.Terms != terms.Refused || r.Terms == "" && r.Consent != "")
}

// CreditLine is the line to print for the take: its own, else its contributor's, "" if there is none.
func (r *Row) CreditLine() string {
	if r.Credit != "" {
		return r.Credit
	}
	return r.credit
}

// AllGainDB is the builder's correction of the level: of the take and of its contributor.
func (r *Row) AllGainDB() float64 { return r.GainDB + r.gainDB }

// AllFavourDB is how much rather than others the take is chosen, and leads: by its own row and by its contributor's.
func (r *Row) AllFavourDB() float64 { return r.FavourDB + r.favourDB }

// UsedKind is what the take does: the builder's word, else as measured.
func (r *Row) UsedKind() measure.Kind {
	if r.SaidKind != "" {
		return r.SaidKind
	}
	return r.Kind
}

// Hz is the pitch by which the take is tuned, NaN if it has none. Where the builder gives a key,
// the measured pitch, or else the leading tone, is moved by octaves to within half a semitone of it;
// what is no octave of the key gives way to the key's own pitch (ISO 16: key 69 is 440 Hz).
func (r *Row) Hz() float64 {
	if r.Key < 0 {
		return r.Pitch.Hz
	}
	keyHz := sound.KeyHz(float64(r.Key))
	for _, hz := range []float64{r.Pitch.Hz, r.Leading.Hz} {
		octaves := math.Log2(keyHz / hz)
		if hz > 0 && math.Abs(octaves-math.Round(octaves)) <= 1.0/24 {
			return hz * math.Exp2(math.Round(octaves))
		}
	}
	return keyHz
}

// SheetOptions are the project's settings that the sheet is read by.
type SheetOptions struct {
	MiddleC mapping.Naming // by which names of keys are read and written; "" is C4
	Layers  []string       // that the builder may name; nil is soft and loud
	Strands []string       // that the builder may name; nil is a and b
}

// settled fills in the defaults.
func (o SheetOptions) settled() SheetOptions {
	defaults := mapping.New()
	if o.MiddleC == "" {
		o.MiddleC = defaults.MiddleC
	}
	if o.Layers == nil {
		o.Layers = defaults.Layers
	}
	if o.Strands == nil {
		o.Strands = defaults.Strands
	}
	return o
}
