// Checks that one recording can be several takes.

package takes

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping/testsound"
)

// threeTones is a WAV file of 300, 200 and 400 Hz, half a second each, with as much silence before each and at the
// end.
func threeTones() []byte {
	const rateHz = 32000
	samples := make([]int16, 7*rateHz/2)
	for i, hz := range []float64{300, 200, 400} {
		from := rateHz/2 + i*rateHz
		for k := range rateHz / 2 {
			samples[from+k] = int16(16000 * math.Sin(2*math.Pi*hz*float64(k)/rateHz))
		}
	}
	data := make([]byte, 0, 2*len(samples))
	for _, x := range samples {
		data = append(data, byte(x), byte(uint16(x)>>8))
	}
	return testsound.WavBytes(1, 1, rateHz, 16, data)
}

// cutUp makes three rows of the one about a take, as a person does in a spreadsheet: copied, with other cells.
func (y yard) cutUp(take string, stretches ...string) {
	y.t.Helper()
	rows := tableOf(y.t, []byte(y.sheet()))
	column := func(title string) int { return slices.Index(rows[0], title) }
	at := slices.IndexFunc(rows, func(row []string) bool { return row[column("take")] == take })
	for _, stretch := range stretches {
		row := slices.Clone(rows[at])
		row[column("from_s")], row[column("to_s")], _ = strings.Cut(stretch, "-")
		row[column("remarks")] = stretch
		rows = append(rows, row)
	}
	d := newDialect()
	y.saveSheet(string(d.join(slices.Delete(rows, at, at+1))))
}

// summary is what the sheet holds of each row.
func (y yard) summary() (all []string) {
	s := mustRead(y.t, y.dir+"/takes.csv")
	for i := range s.Rows {
		r := &s.Rows[i]
		all = append(all, fmt.Sprintf("%s %.0f Hz %.1f s %s %v %v", r.Name(), r.Pitch.Hz, r.Seconds, r.Remarks,
			r.Measured(), r.Flags))
	}
	return all
}

func TestOneRecordingAsThreeTakes(t *testing.T) {
	y := newYard(t)
	y.put("anna/three.wav", threeTones())
	y.put("bob/b.wav", tone(1))
	y.intake()
	y.cutUp("anna/three.wav", "0.4-1.2", "1.4-2.2", "2.4-")
	if report := y.intake(); report.Measured != 3 || len(report.New) > 0 {
		t.Errorf("%d takes measured and %v new, want three and none", report.Measured, report.New)
	}
	bob := y.summary()[0]
	want := []string{bob,
		"anna/three.wav (0.4 to 1.2 s) 300 Hz 0.8 s 0.4-1.2 true []",
		"anna/three.wav (1.4 to 2.2 s) 200 Hz 0.8 s 1.4-2.2 true []",
		"anna/three.wav (2.4 s to the end) 400 Hz 1.1 s 2.4- true []"}
	if got := y.summary(); !slices.Equal(got, want) {
		t.Errorf("rows\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	before := y.sheet()
	if report := y.intake(); report.Measured != 0 || y.sheet() != before {
		t.Errorf("again: %d measured, another sheet: %v", report.Measured, y.sheet() != before)
	}

	// Renamed, all three follow; removed, all three are missing, and come back.
	y.move("anna/three.wav", "anna/bells.wav")
	if report := y.intake(); report.Measured != 0 || len(report.Moved) != 1 || len(report.New) > 0 {
		t.Errorf("renamed: %d measured, moved %v, new %v", report.Measured, report.Moved, report.New)
	}
	if got := strings.ReplaceAll(strings.Join(y.summary(), "\n"), "bells", "three"); got != strings.Join(want, "\n") {
		t.Errorf("renamed:\n%s", got)
	}
	y.move("anna/bells.wav", "../bells.wav")
	y.intake()
	for _, row := range y.summary()[1:] {
		if !strings.Contains(row, "missing") {
			t.Errorf("the file is gone: %s", row)
		}
	}
	y.move("../bells.wav", "anna/bells.wav")
	if report := y.intake(); report.Measured != 0 {
		t.Errorf("back again: %d measured, want none", report.Measured)
	}

	// One stretch is edited: that one alone is measured.
	y.edit("bob/b.wav", "remarks", "-")
	rows := strings.Replace(y.sheet(), ",1.4,2.2,", ",1.4,1.8,", 1)
	y.saveSheet(rows)
	if report := y.intake(); report.Measured != 1 || !strings.Contains(y.summary()[2], "200 Hz 0.4 s") {
		t.Errorf("edited: %d measured: %s", report.Measured, y.summary()[2])
	}
}

// All broken cells are told at once, each with its place; a stretch behind the end is a problem of its row.
func TestWrongStretches(t *testing.T) {
	y := newYard(t)
	y.put("anna/a.wav", tone(1))
	y.intake()
	y.cutUp("anna/a.wav", "0.3-0.2", "soon-", "0.1-0.2", "0.1-0.2", "-1-")
	_, err := Intake(t.Context(), y.dir, IntakeOptions{})
	for _, want := range []string{
		`row 2, column to_s (Q): found "0.2", expected more than from_s, 0.3`,
		`row 3, column from_s (P): found "soon", expected seconds from the file's beginning`,
		`row 5, column take (A): found "anna/a.wav", expected each take once, and row 4 is about it already`,
	} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error\n%v\nwant %s", err, want)
		}
	}
	z := newYard(t)
	z.put("anna/a.wav", tone(1))
	z.intake()
	z.cutUp("anna/a.wav", "7-9", "0.1-9")
	z.intake()
	s := mustRead(t, z.dir+"/takes.csv")
	if problem := s.Rows[0].Problem; !strings.Contains(problem, "found the stretch 7 to 9 s in a file of ") {
		t.Errorf("a stretch behind the end: problem %q", problem)
	}
	if s.Rows[1].Problem != "" || !(s.Rows[1].Seconds < 0.5) {
		t.Errorf("a stretch that ends behind the end: problem %q, %v s", s.Rows[1].Problem, s.Rows[1].Seconds)
	}
}
