// Checks that one recording becomes several takes in the sheet, and that the recording stays.

package main

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lapstrake/mapping/testsound"
)

// threeStrikes is a WAV file of a bell that is struck at 0.3, 1.5 and 2.7 s.
func threeStrikes() []byte {
	const rateHz = 22050
	var data []byte
	for i := range 4 * rateHz {
		x := 0.0
		for n, at := range []float64{0.3, 1.5, 2.7} {
			if sec := float64(i)/rateHz - at; sec >= 0 {
				x += 9000 * math.Exp(-5*sec) * math.Sin(2*math.Pi*220*float64(n+1)*sec)
			}
		}
		data = append(data, byte(int16(x)), byte(uint16(int16(x))>>8))
	}
	return testsound.WavBytes(1, 1, rateHz, 16, data)
}

// measuredRow is a row that ends with the version of the measuring that filled it in.
var measuredRow = regexp.MustCompile(`,v[0-9]+-[0-9a-f]+$`)

func TestSplit(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	take := filepath.Join(dir, "takes", "hob", "bell.wav")
	os.MkdirAll(filepath.Dir(take), 0o777)
	if err := os.WriteFile(take, threeStrikes(), 0o666); err != nil {
		t.Fatal(err)
	}
	call := func(want int, args ...string) string {
		t.Helper()
		var out bytes.Buffer
		if code := run(args, streams{&out, &out}); code != want {
			t.Fatalf("%v: exit %d, want %d:\n%s", args, code, want, out.String())
		}
		return out.String()
	}
	sheet := func() string {
		data, _ := os.ReadFile(filepath.Join(dir, "takes.csv"))
		return string(data)
	}
	call(exitDone, "intake", dir)
	whole := sheet()
	if said := call(exitDone, "split", dir, "hob/bell.wav"); !strings.Contains(said, "3 sounds") || sheet() != whole {
		t.Errorf("a proposal: %s\nand a sheet that stays: %v", said, sheet() == whole)
	}
	call(exitDone, "split", dir, take, "--write")
	lines := strings.Split(strings.TrimSpace(sheet()), "\n")
	if len(lines) != 5 || !strings.HasPrefix(lines[1], "hob/bell.wav,no,hob,") {
		t.Fatalf("the sheet is\n%s\nwant the whole take, muted, and three rows", sheet())
	}
	fromColumn := slices.Index(strings.Split(lines[0], ","), "from_s")
	for i, onsetSec := range []float64{0.3, 1.5, 2.7} {
		row := lines[2+i]
		fromSec, err := strconv.ParseFloat(strings.Split(row, ",")[fromColumn], 64)
		if early := onsetSec - fromSec; err != nil || early < 0.01 || early > 0.06 {
			t.Errorf("row %d begins at %v s (%v), want 10 to 60 ms before the strike at %v s", 3+i,
				fromSec, err, onsetSec)
		}
		if !strings.HasPrefix(row, "hob/bell.wav,yes,hob,") || !measuredRow.MatchString(row) {
			t.Errorf("row %d is %s, want a measured take", 3+i, row)
		}
	}
	call(exitWrong, "split", dir, "hob/bell.wav", "--write")
	call(exitWords, "split", dir, "hob/horn.wav")
	if data, _ := os.ReadFile(take); !bytes.Equal(data, threeStrikes()) {
		t.Error("the recording has changed")
	}
}
