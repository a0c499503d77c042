// Measured cells that are more than a number: the note, the flags, and the digits that tell an edited cell.

package takes

import (
	"fmt"
	"hash/crc32"
	"strconv"
	"strings"

	"lapstrake/mapping/takes/measure"
)

// measuringVersion goes up whenever Measure finds other numbers than before: every take is then
// measured anew.
const measuringVersion = 7

// checkDigits stand for the measured cells and the version that measured them. The sheet is where
// measures are kept between two runs; a cell that a hand or a spreadsheet changed does not fit its
// digits any more, and the take is measured anew. They begin with a letter, for a spreadsheet
// takes 12e45678 for a number.
func (r *Row) checkDigits() string {
	if r.Hash == "" {
		return ""
	}
	sum := crc32.NewIEEE()
	fmt.Fprintf(sum, "%s\n", r.Hash)
	if !r.IsWhole() {
		fmt.Fprintf(sum, "%s\n", r.Stretch)
	}
	for i := range columns {
		if c := &columns[i]; c.owner == theMeasures {
			fmt.Fprintf(sum, "%s\n", c.text(r, SheetOptions{}))
		}
	}
	return fmt.Sprintf("v%d-%08x", measuringVersion, sum.Sum32())
}

// roundMeasures gives the measures the decimals of the sheet, so that a take just measured and
// one read from the sheet are the same.
func (r *Row) roundMeasures() {
	for i := range columns {
		if c := &columns[i]; c.owner == theMeasures && c.number {
			c.read(r, c.text(r, SheetOptions{}), SheetOptions{}) // what was written can be read
		}
	}
}

func pitchKeyText(r *Row, _ SheetOptions) string {
	if !(r.Pitch.Hz > 0) {
		return ""
	}
	key, _ := r.Pitch.Key()
	return strconv.Itoa(key)
}

func pitchNoteText(r *Row, o SheetOptions) string {
	if !(r.Pitch.Hz > 0) {
		return ""
	}
	key, _ := r.Pitch.Key()
	return o.settled().MiddleC.Name(key)
}

func pitchCentsText(r *Row, _ SheetOptions) string {
	if !(r.Pitch.Hz > 0) {
		return ""
	}
	_, cents := r.Pitch.Key()
	return decimalText(cents, 1)
}

func flagsText(r *Row, _ SheetOptions) string {
	words := make([]string, len(r.Flags))
	for i, flag := range r.Flags {
		words[i] = string(flag)
	}
	return strings.Join(words, " | ")
}

func readFlags(r *Row, cell string, _ SheetOptions) error {
	r.Flags = nil
	for word := range strings.SplitSeq(cell, "|") {
		if word = strings.TrimSpace(word); word != "" {
			r.Flags = append(r.Flags, measure.Flag(word))
		}
	}
	return nil
}
