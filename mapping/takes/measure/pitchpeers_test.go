// The pitch finder beside general ones, on the same notes: make peers.

package measure

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// praatScript prints the median of praat's autocorrelation pitch over the widest range it takes.
const praatScript = `form Median
sentence Path
endform
Read from file: path$
To Pitch: 0, 25, 5000
median = Get quantile: 0, 0, 0.5, "Hertz"
writeInfoLine: median
`

// TestPitchPeers prints tables; it holds nothing against the other programs but that ours is at least as good as each.
func TestPitchPeers(t *testing.T) {
	if os.Getenv("LAPSTRAKE_PITCH_PEERS") == "" {
		t.Log("off: set LAPSTRAKE_PITCH_PEERS to compare with aubiopitch and praat (make peers)")
		return
	}
	dir := t.TempDir()
	script := filepath.Join(dir, "median.praat")
	if err := os.WriteFile(script, []byte(praatScript), 0o644); err != nil {
		t.Fatal(err)
	}
	finders := []struct {
		name string
		find func(path string, n knownNote) float64
	}{
		{"lapstrake", func(_ string, n knownNote) float64 { return FindPitch(n.sound, n.rateHz).Hz }},
		{"aubio yinfft, 8192", func(path string,
			n knownNote) float64 {
			return aubioMedian(t, path, n.rateHz, "yinfft", "8192")
		}},
		{"aubio yin, 4096", func(path string,
			n knownNote) float64 {
			return aubioMedian(t, path, n.rateHz, "yin", "4096")
		}},
		{"praat autocorrelation, 25 to 5000 Hz", func(path string, _ knownNote) float64 {
			hz, err := strconv.ParseFloat(strings.TrimSpace(output(t, "praat", "--run", script, path)), 64)
			if err != nil {
				return math.NaN()
			}
			return hz
		}},
	}
	notes, _ := knownNotes(t)
	for _, condition := range []string{"clean", "degraded"} {
		tallies := make([]pitchTally, len(finders))
		for i, n := range notes {
			if condition == "degraded" {
				n.sound = degraded(n.sound, n.rateHz, uint64(i))
			}
			path := filepath.Join(dir, "note.wav")
			writeFloatWAV(t, path, n.sound, n.rateHz)
			for j, f := range finders {
				tallies[j].add(Pitch{Hz: f.find(path, n)}, n.hz)
			}
		}
		t.Logf("%d notes, %s", len(notes), condition)
		for j, f := range finders {
			c := tallies[j]
			t.Logf("%-38s within 50 cents %5.1f %%  within 10 cents %5.1f %%  octave errors %4.1f %%",
				f.name, c.share(c.within50), c.share(c.within10), c.share(c.octaves))
			if c.within50 > tallies[0].within50 {
				t.Errorf("%s: %s finds %d notes, ours %d", condition, f.name, c.within50, tallies[0].within50)
			}
		}
	}
}

// aubioMedian is the median of the frames in which aubiopitch hears a pitch.
func aubioMedian(t *testing.T, path string, rateHz int, method, window string) float64 {
	t.Helper()
	var heard []float64
	lines := bufio.NewScanner(strings.NewReader(output(t, "aubiopitch", "-i", path, "-r", strconv.Itoa(rateHz), "-p",
		method, "-B", window, "-H", "1024")))
	for lines.Scan() {
		fields := strings.Fields(lines.Text())
		if len(fields) != 2 {
			continue
		}
		if hz, err := strconv.ParseFloat(fields[1], 64); err == nil && hz > 0 {
			heard = append(heard, hz)
		}
	}
	if len(heard) == 0 {
		return math.NaN()
	}
	slices.Sort(heard)
	return heard[len(heard)/2]
}

func output(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).Output()
	if err != nil {
		t.Fatalf("%s %s: %v", name, strings.Join(args, " "), err)
	}
	return string(out)
}

// writeFloatWAV writes mono 32-bit float.
func writeFloatWAV(t *testing.T, path string, x []float32, rateHz int) {
	t.Helper()
	var b bytes.Buffer
	put := func(v any) { _ = binary.Write(&b, binary.LittleEndian, v) }
	b.WriteString("RIFF")
	put(uint32(36 + 4*len(x)))
	b.WriteString("WAVEfmt ")
	put(uint32(16))
	put([]uint16{3, 1})
	put([]uint32{uint32(rateHz), uint32(4 * rateHz)})
	put([]uint16{4, 32})
	b.WriteString("data")
	put(uint32(4 * len(x)))
	put(x)
	if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}
