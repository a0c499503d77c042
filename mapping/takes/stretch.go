// A stretch of a recording: one recording may hold several takes, each with a row of its own.

package takes

import (
	"errors"
	"math"
	"strconv"

	"lapstrake/mapping/takes/decode"
)

// Stretch is the part of a file that is the take, in seconds from the file's first frame. The zero Stretch is the
// whole file.
type Stretch struct {
	FromSec float64 `json:"from_s,omitempty"`
	ToSec   float64 `json:"to_s,omitempty"` // 0: to the end
}

// IsWhole says whether the take is the whole file.
func (s Stretch) IsWhole() bool { return s == Stretch{} }

// String gives the stretch as in "1.2 to 3.4 s", "" for the whole file.
func (s Stretch) String() string { return s.Span().String() }

// Span is the stretch as decoders know it.
func (s Stretch) Span() decode.Span { return decode.Span(s) }

// content is what a take sounds like: a stretch of a file that is known by its hash.
type content struct {
	hash string
	Stretch
}

func (r *Row) content() content { return content{r.Hash, r.Stretch} }

// Name tells the take from all others: its path, and its stretch where it is not the whole file.
func (r *Row) Name() string { return TakeName(r.Path, r.Stretch) }

// TakeName is the name of a take.
func TakeName(path string, s Stretch) string {
	if s.IsWhole() {
		return path
	}
	return path + " (" + s.String() + ")"
}

func secondsText(sec float64) string { return strconv.FormatFloat(sec, 'f', -1, 64) }

// mostSeconds bounds a cell of seconds: a day.
const mostSeconds = 86400

// stretchColumn holds seconds of the file; 0 is an empty cell.
func stretchColumn(name, ifEmpty string, field func(*Row) *float64) column {
	return column{name: name, number: true,
		text: func(r *Row, _ SheetOptions) string {
			if *field(r) == 0 {
				return ""
			}
			return secondsText(*field(r))
		},
		read: func(r *Row, cell string, _ SheetOptions) error {
			sec, err := parseDecimal(cell)
			if math.IsNaN(sec) {
				sec = 0
			}
			if err != nil || sec < 0 || sec > mostSeconds {
				return errors.New("seconds from the file's beginning, or nothing for the file's " + ifEmpty)
			}
			*field(r) = sec
			return nil
		}}
}

// stretchError says what is wrong with a row's two cells together.
func (s *Sheet) stretchError(row *Row, path string) error {
	if row.ToSec == 0 || row.ToSec > row.FromSec {
		return nil
	}
	return s.cellError(path, row.Number, columnNamed("to_s"), secondsText(row.ToSec),
		"more than from_s, "+secondsText(row.FromSec), "correct one of the two cells")
}
