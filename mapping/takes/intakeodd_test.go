// Recordings that are damaged, odd or there twice.

package takes

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
)

// Every kind of odd recording gets its row; the rest goes on; no recording is touched.
func TestIntakeOfOddRecordings(t *testing.T) {
	y := newYard(t)
	flac, err := os.ReadFile(filepath.Join(testsound.Recordings(), "misc", "drum_cowbell.flac"))
	if err != nil {
		t.Fatal(err)
	}
	flac[30] ^= 1 // of the MD5 in STREAMINFO (RFC 9639, 8.2)
	odd := map[string][]byte{
		"sum.flac":        flac,
		"zero.wav":        {},
		"silent.wav":      testsound.WavBytes(1, 1, 44100, 16, make([]byte, 44100)),
		"one.wav":         testsound.WavBytes(1, 1, 44100, 16, []byte{0, 40}),
		"low.wav":         testsound.WavBytes(1, 1, 8000, 16, testsound.Sine16(1, 8000, 4000)),
		"high.wav":        testsound.WavBytes(1, 2, 192000, 16, testsound.Sine16(2, 192000, 40000)),
		"five.wav":        testsound.WavBytes(1, 5, 48000, 16, testsound.Sine16(5, 48000, 20000)),
		"cut.wav":         tone(1)[:20000],
		"mislabelled.mp3": tone(2),
		"letter.wav":      []byte("Dear neighbour, the recording is in the other envelope."),
		"fine.wav":        tone(3),
	}
	for name, data := range odd {
		y.put("anna/"+name, data)
	}
	y.put("bob/fine.wav", tone(4))
	report := y.intake()
	if len(report.Sheet.Rows) != len(odd)+1 {
		t.Errorf("%d rows, want %d", len(report.Sheet.Rows), len(odd)+1)
	}
	for name, want := range map[string]measure.Flag{"zero.wav": Unreadable, "silent.wav": measure.Silent,
		"one.wav": measure.TooShort, "low.wav": measure.LowRate, "high.wav": measure.HighRate,
		"five.wav": measure.ManyChannels, "cut.wav": CutShort, "sum.flac": Damaged, "letter.wav": Unreadable} {
		row := y.row("anna/" + name)
		if !row.Has(want) && !(name == "one.wav" && row.Has(measure.Silent)) {
			t.Errorf("%s: flags %v, want %s (%s)", name, row.Flags, want, row.Problem)
		}
		if (want == Unreadable) != (row.Problem != "") || row.Usable() != (want != Unreadable) {
			t.Errorf("%s: problem %q, usable %v", name, row.Problem, row.Usable())
		}
		if strings.Contains(row.Problem, y.dir) || strings.Contains(row.Problem, "\n") {
			t.Errorf("%s: the problem tells of this machine: %q", name, row.Problem)
		}
	}
	if row := y.row("anna/mislabelled.mp3"); row.Format != "WAV" || row.Problem != "" {
		t.Errorf("a WAV named .mp3: %s, %q", row.Format, row.Problem)
	}
	for name, data := range odd {
		if now, err := os.ReadFile(y.place("anna/" + name)); err != nil || !bytes.Equal(now, data) {
			t.Errorf("%s was changed", name)
		}
	}
	if first := report.Findings()[0]; first.Flag != Unreadable || first.Advice == "" {
		t.Errorf("the first to look at is %+v, want an unreadable one with its reason", first)
	}
	before := y.sheet()
	if report := y.intake(); report.Measured != 0 || y.sheet() != before {
		t.Errorf("again: %d measured, sheet\n%s\nwas\n%s", report.Measured, y.sheet(), before)
	}
}

func TestDuplicatesAreTold(t *testing.T) {
	y := newYard(t)
	y.put("anna/a.wav", tone(1))
	y.put("bob/other name.wav", tone(1))
	report := y.intake()
	if report.Measured != 1 {
		t.Errorf("%d measured, want the one content once", report.Measured)
	}
	if y.row("anna/a.wav").Has(measure.Duplicate) || !y.row("bob/other name.wav").Has(measure.Duplicate) {
		t.Error("want the second flagged, the first not")
	}
	found := report.Findings()
	at := slices.IndexFunc(found, func(f Finding) bool { return f.Flag == measure.Duplicate })
	if at < 0 || !strings.Contains(found[at].Advice, "anna/a.wav") {
		t.Errorf("findings %+v: want the other's name", found)
	}
}

// The same recording comes as MP3 and, softer and later, as WAV: that is told, with the name of the earlier one, until
// the builder has decided.
func TestTheSameRecordingInAnotherFileIsTold(t *testing.T) {
	y := newYard(t)
	first, err := os.ReadFile(filepath.Join(testsound.Recordings(), "bassoon", "C4.mp3"))
	if err != nil {
		t.Fatal(err)
	}
	other, err := os.ReadFile(filepath.Join(testsound.Recordings(), "bassoon", "A3.mp3"))
	if err != nil {
		t.Fatal(err)
	}
	y.put("carl/low.mp3", first)
	y.put("bob/other.mp3", other)
	y.intake()
	decoded, err := decode.File(y.place("carl/low.mp3"))
	if err != nil {
		t.Fatal(err)
	}
	frames := make([]byte, decoded.RateHz/5*2) // 0.2 s of silence
	for _, x := range decoded.Mono() {
		frames = binary.LittleEndian.AppendUint16(frames, uint16(int16(math.Round(float64(x)*16000))))
	}
	y.put("anna/new name.wav", testsound.WavBytes(1, 1, decoded.RateHz, 16, frames))
	report := y.intake()
	if report.Measured != 1 {
		t.Errorf("%d measured, want the arrival alone", report.Measured)
	}
	if !y.row("anna/new name.wav").Has(measure.Duplicate) || y.row("carl/low.mp3").Has(measure.Duplicate) ||
		y.row("bob/other.mp3").Has(measure.Duplicate) {
		t.Error("want the arrival flagged, and no other")
	}
	told := func(r *Report) int {
		return slices.IndexFunc(r.Findings(), func(f Finding) bool { return f.Flag == measure.Duplicate })
	}
	if at := told(report); at < 0 || !strings.Contains(report.Findings()[at].Advice,
		"the same recording as carl/low.mp3, in another file") {
		t.Errorf("findings %+v: want the earlier take's name", report.Findings())
	}
	y.edit("carl/low.mp3", "use", "no")
	if report := y.intake(); told(report) >= 0 || report.Measured != 0 {
		t.Errorf("%d measured, findings %+v: want none about a double that is decided", report.Measured,
			report.Findings())
	}
}
