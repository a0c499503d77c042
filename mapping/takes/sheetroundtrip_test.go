// Any sheet, through any spreadsheet, and back.

package takes

import (
	"encoding/csv"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lapstrake/mapping/takes/measure"
)

func mustParse(t rapid.TB, data []byte) *Sheet {
	t.Helper()
	s, err := parseSheet(data, "takes.csv", SheetOptions{})
	if err != nil {
		t.Fatalf("%v\n%q", err, data)
	}
	return s
}

// tableOf is what a person sees in the spreadsheet: every row of cells.
func tableOf(t rapid.TB, data []byte) [][]string {
	t.Helper()
	var d dialect
	rows, err := d.split(data, "takes.csv", isColumn)
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

var anyDialect = rapid.Custom(func(t *rapid.T) dialect {
	return dialect{
		encoding:     encoding(rapid.IntRange(int(utf8Plain), int(utf16Big)).Draw(t, "encoding")),
		sepLine:      rapid.Bool().Draw(t, "sep line"),
		separator:    rapid.SampledFrom([]byte{',', ';', '\t'}).Draw(t, "separator"),
		decimalComma: rapid.Bool().Draw(t, "decimal comma"),
		lineEnd:      rapid.SampledFrom([]string{"\n", "\r\n", "\r"}).Draw(t, "line end"),
	}
})

// anyText is text that trips CSV readers.
var anyText = rapid.OneOf(
	rapid.StringMatching(`[ =+\-@'",;\t\r\n|a-cäß♯“0-9.]{0,8}`),
	rapid.String().Filter(func(s string) bool { return !strings.ContainsAny(s, "\x00\uFFFD") }),
)

var anyMeasures = rapid.Custom(func(t *rapid.T) measure.Measures {
	m := measure.Absent()
	value := reflect.ValueOf(&m).Elem()
	for i := range value.NumField() {
		switch field := value.Field(i); field.Kind() {
		case reflect.Float64:
			field.SetFloat(rapid.OneOf(rapid.Float64Range(-200, 20000),
				rapid.SampledFrom([]float64{0, math.NaN(), math.Inf(1), math.Inf(-1), math.Copysign(0, -1), 1e-9,
					-1e-9})).Draw(t, "number"))
		case reflect.Int:
			field.SetInt(rapid.Int64Range(0, 192000).Draw(t, "count"))
		case reflect.Bool:
			field.SetBool(rapid.Bool().Draw(t, "yes"))
		}
	}
	m.Format = rapid.SampledFrom([]string{"WAV", "an Ogg file"}).Draw(t, "format")
	m.Kind = rapid.SampledFrom([]measure.Kind{measure.Struck, measure.Held, measure.Noisy}).Draw(t, "kind")
	m.Pitch = measure.Pitch{Hz: rapid.Float64Range(20, 5000).Draw(t, "pitch"),
		Confidence: rapid.Float64Range(0, 1).Draw(t, "confidence"), DriftCents: math.NaN(),
		Several: rapid.Bool().Draw(t, "several")}
	return m
})

// drawSheet is a sheet with any measures and any text of the builder's.
func drawSheet(t *rapid.T) *Sheet {
	s := NewSheet(SheetOptions{})
	s.dialect = anyDialect.Draw(t, "dialect")
	for i := range rapid.IntRange(1, 3).Draw(t, "takes") {
		row := NewRow(fmt.Sprintf("%s/%d.wav",
			rapid.SampledFrom([]string{"anna", "=cmd", "Jörg, 2", `a"b`, "-x", "'+y", " z"}).Draw(t, "folder"), i))
		row.Use = rapid.Bool().Draw(t, "use")
		for _, field := range []*string{&row.Credit, &row.Consent, &row.Title, &row.Remarks} {
			*field = strings.TrimSpace(anyText.Draw(t, "text"))
		}
		row.Layer = rapid.SampledFrom([]string{"", "soft", "loud", Both}).Draw(t, "layer")
		row.Strand = rapid.SampledFrom([]string{"", "a", "b", Both}).Draw(t, "strand")
		row.Key = rapid.IntRange(-1, 127).Draw(t, "key")
		row.GainDB = float64(rapid.IntRange(-600, 600).Draw(t, "gain")) / 10
		row.KeepPartials = rapid.IntRange(0, 40).Draw(t, "partials")
		row.FavourDB = float64(rapid.IntRange(-120, 120).Draw(t, "favour")) / 10
		row.Bed = rapid.SampledFrom([]string{"", "0", "48", "soft-a-k048", "loud-b-k127"}).Draw(t, "bed")
		row.SaidKind = rapid.SampledFrom(append([]measure.Kind{""}, allKinds...)).Draw(t, "said kind")
		row.Measures = anyMeasures.Draw(t, "measures")
		row.roundMeasures()
		row.SuggestedLayer, row.SuggestedStrand = "soft", "b"
		row.Flags = []measure.Flag{measure.Clipped, measure.HasDC}
		row.Hash = strings.Repeat("0123456789abcdef", 4)
		row.above = make([][]string, rapid.IntRange(0, 2).Draw(t, "empty rows above"))
		row.seal()
		s.Rows = append(s.Rows, row)
	}
	return s
}

// Cells, dialect and measures survive; a second time the file is the same byte for byte.
func TestSheetRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		before := drawSheet(t)
		data := before.encode()
		after := mustParse(t, data)
		if again := after.encode(); string(again) != string(data) {
			t.Fatalf("written again it is\n%q, was\n%q", again, data)
		}
		if len(after.Rows) != len(before.Rows) {
			t.Fatalf("%d rows, want %d", len(after.Rows), len(before.Rows))
		}
		for i := range before.Rows {
			was, is := before.Rows[i], after.Rows[i]
			if !is.Measured() {
				t.Fatalf("row %d: its measures are not known again", i)
			}
			if w, g := fmt.Sprintf("%#v", was.Measures), fmt.Sprintf("%#v", is.Measures); w != g {
				t.Fatalf("measures\n%s, want\n%s", g, w)
			}
			said := func(r Row) string {
				return fmt.Sprintf("%q %v", []string{r.Path, strings.TrimSpace(r.Contributor), r.Credit, r.Consent,
					r.Title, r.Layer, r.Strand, r.Remarks, r.Hash},
					[]any{r.Use, r.Key, r.GainDB, r.KeepPartials, r.SaidKind, r.Bed, r.FavourDB,
						r.Flags, len(r.above)})
			}
			if said(was) != said(is) {
				t.Fatalf("row is\n%s, want\n%s", said(is), said(was))
			}
		}
	})
}

// A spreadsheet opens the sheet and saves it: columns moved and added, numbers shown shorter, any other
// dialect. What the builder did stays; of the measures nothing is lost.
func TestSheetThroughASpreadsheet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := tableOf(t, drawSheet(t).encode())
		order := rapid.Permutation(table[0]).Draw(t, "columns")
		var edited [][]string
		for i, row := range table {
			var cells []string
			for _, title := range order {
				cell := ""
				if at := slices.Index(table[0], title); at < len(row) {
					cell = row[at]
				}
				if known := columnNamed(title); i > 0 && known.number && strings.ContainsAny(cell, ".,") {
					cell = strings.TrimRight(strings.TrimRight(cell, "0"), ".,") // -23.00 is shown as -23
				}
				cells = append(cells, cell)
			}
			own := anyText.Draw(t, "own")
			if i == 0 {
				own = "shelf"
			}
			edited = append(edited, append(cells, own))
		}
		written := anyDialect.Draw(t, "dialect")
		written.decimalComma = written.separator == ';' // what a sheet of whole numbers is taken for
		for _, row := range edited[1:] {
			for j := range order {
				if known := columnNamed(order[j]); known.number && written.decimalComma {
					row[j] = strings.Replace(row[j], ".", ",", 1)
				} else if known.number {
					row[j] = strings.Replace(row[j], ",", ".", 1)
				}
			}
		}
		s := mustParse(t, written.join(edited))
		after := tableOf(t, s.encode())
		if !slices.Equal(after[0], edited[0]) {
			t.Fatalf("columns %q, want %q", after[0], edited[0])
		}
		cents := slices.Index(edited[0], "pitch_cents") // follows from pitch_hz and is written anew
		for i := range after {
			after[i][cents] = edited[i][cents]
			if !slices.Equal(after[i], edited[i]) {
				t.Fatalf("row %d is\n%q, want\n%q", i+1, after[i], edited[i])
			}
		}
		for i := range s.Rows {
			if !s.Rows[i].Measured() {
				t.Fatalf("row %d: measures lost in a spreadsheet", s.Rows[i].Number)
			}
		}
	})
}

// The reference reader is encoding/csv, which wants RFC 4180.
func TestSheetAgainstAnotherReader(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSheet(t)
		s.dialect = dialect{separator: ',', lineEnd: "\n"}
		for i := range s.Rows {
			s.Rows[i].above = nil
		}
		data := s.encode()
		reader := csv.NewReader(strings.NewReader(string(data)))
		theirs, err := reader.ReadAll()
		if err != nil {
			t.Fatalf("%v\n%s", err, data)
		}
		for i, ours := range tableOf(t, data) {
			for j, cell := range ours {
				if theirs[i][j] != strings.ReplaceAll(cell, "\r\n", "\n") { // encoding/csv does that
					t.Fatalf("row %d cell %d: %q, encoding/csv reads %q", i+1, j+1, cell, theirs[i][j])
				}
			}
		}
	})
}
