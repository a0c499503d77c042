// The summary of an intake stays short however much there is to say.

package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/measure"
)

func TestIntakeSummaryIsShort(t *testing.T) {
	sum := &intakeSummary{Sheet: "takes.csv", Takes: 200, Used: 200, Hint: mapping.MiddleC3}
	for i := range 100 {
		sum.Findings = append(sum.Findings, takes.Finding{Take: fmt.Sprintf("anna/%d.wav", i), Row: i + 2,
			Flag: measure.Clipped, Advice: "overdriven"})
	}
	sum.Findings = append(sum.Findings, takes.Finding{Take: "bob/z.wav", Row: 190, Flag: measure.UnsurePitch,
		Advice: "listen"})
	var out, notices bytes.Buffer
	sum.print(streams{&out, &notices})
	for _, want := range []string{"row 2, anna/0.wav: clipped: overdriven\n", "and 97 more: clipped\n",
		"row 190, bob/z.wav: unsure pitch: listen\n"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no %q in\n%s", want, &out)
		}
	}
	if lines := strings.Count(out.String(), "\n"); lines > 15 {
		t.Errorf("%d lines:\n%s", lines, &out)
	}
	if !strings.Contains(notices.String(), "middle C (key 60) as C3") {
		t.Errorf("the other naming is not told: %s", &notices)
	}
}

// A recording that cannot be read is told by the exit code, the sheet is written all the same, and a take that is set
// not to be used troubles nobody.
func TestIntakeTellsUnreadableRecordings(t *testing.T) {
	dir := t.TempDir()
	letter := filepath.Join(dir, "takes", "anna", "letter.wav")
	if err := os.MkdirAll(filepath.Dir(letter), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(letter, []byte("Dear neighbour, the recording is in the other envelope."),
		0o666); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"intake", dir}, {"intake", "--json", dir}} {
		var out, notices bytes.Buffer
		if code := run(args, streams{&out, &notices}); code != exitWrong ||
			!strings.Contains(notices.String(), "anna/letter.wav") {
			t.Errorf("%v: exit code %d, want %d; notices: %s", args, code, exitWrong, &notices)
		}
	}
	sheet := filepath.Join(dir, "takes.csv")
	data, err := os.ReadFile(sheet)
	if err != nil || !bytes.Contains(data, []byte("anna/letter.wav")) {
		t.Fatalf("the sheet lacks the take (%v):\n%s", err, data)
	}
	if err := os.WriteFile(sheet, bytes.Replace(data, []byte("anna/letter.wav,yes"), []byte("anna/letter.wav,no"), 1),
		0o666); err != nil {
		t.Fatal(err)
	}
	var out, notices bytes.Buffer
	if code := run([]string{"intake", dir}, streams{&out, &notices}); code != exitDone {
		t.Errorf("with use = no: exit code %d, want %d; notices: %s", code, exitDone, &notices)
	}
}
