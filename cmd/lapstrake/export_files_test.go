// The files in others' hands: libsndfile, go-audio and the map's own player.

//go:build linux && cgo

package main

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	goaudio "github.com/go-audio/wav"

	"lapstrake/engine/stream"
	"lapstrake/mapping"
)

// sndfileTells is what libsndfile finds in each file, in words.
func sndfileTells(t testing.TB, files []string) map[string]string {
	t.Helper()
	requireReaders(t)
	said, err := exec.Command(builtFromC(t, "readinst.c", "sndfile"), files...).Output()
	if err != nil {
		t.Fatalf("libsndfile does not read them: %v\n%s", err, said)
	}
	told := map[string]string{}
	for line := range strings.Lines(string(said)) {
		file, rest, _ := strings.Cut(strings.TrimSpace(line), "\t")
		told[filepath.Base(file)] = rest
	}
	return told
}

// libsndfile, which sorts nothing out by itself, reads root, loop and the strands' places of every WAV, root, keys,
// velocities, level, loop and the places of every AIFF, and opens every FLAC; the end of a loop is the frame after its
// last for it.
func TestExportReadByLibsndfile(t *testing.T) {
	t.Parallel()
	project := toneProject(t, 48, 71, 2, nil)
	m, err := mapping.Load(filepath.Join(project, mapping.FileName))
	if err != nil {
		t.Fatal(err)
	}
	for _, format := range []string{"16", "24"} {
		out := filepath.Join(t.TempDir(), "out")
		runs(t, "export", project, "-o", out, "--parts", "wav,aiff,flac", "--format", format)
		files, err := filepath.Glob(filepath.Join(out, "*", "*", "*"))
		if err != nil || len(files) != 3*len(m.Zones)*len(m.Layers) {
			t.Fatalf("%v: %d files, want one of each kind for each zone and layer: %v", err, len(files), files)
		}
		told := sndfileTells(t, files)
		loop := seconds(2*2 - 2*0.25)
		for _, zone := range m.Zones {
			for _, layer := range m.Layers {
				name := fmt.Sprintf("%s_%s_root-%03d-%s_keys-%03d-%s-to-%03d-%s", layer, zone.Rank, zone.Root,
					m.MiddleC.Name(zone.Root), zone.Low, m.MiddleC.Name(zone.Low), zone.High,
					m.MiddleC.Name(zone.High))
				const sfLoopForward = 801
				forward := fmt.Sprintf("1\t%d\t0\t%d\t0\t", sfLoopForward, loop)
				strand := func(name string, beginsSec float64) string {
					turned := seconds(beginsSec) + loop - int(zone.Start*float64(loop))
					return fmt.Sprintf("%d=%s;", turned%loop, name)
				}
				a, b := strand("a", 0), strand("b", 2-0.25)
				if zone.Start > 0 && zone.Start <= 0.5 {
					a, b = b, a
				}
				forward += a + b
				sound := fmt.Sprintf("%d\t%d\t2\t%d", loop, testRateHz, zone.Root)
				if got := told[name+".aiff"]; got != fmt.Sprintf("%s\t0\t-12\t%d\t%d\t1\t127\t%s", sound, zone.Low,
					zone.High, forward) {
					t.Errorf("%s.aiff: %q", name, got)
				}
				if got, want := told[name+".flac"], fmt.Sprintf("%d\t%d\t2", loop, testRateHz); got != want {
					t.Errorf("%s.flac: %q, want %q", name, got, want)
				}
				if got := told[name+".wav"]; !strings.HasPrefix(got, sound+"\t0\t") ||
					!strings.HasSuffix(got, "\t"+forward) {
					t.Errorf("%s.wav: %q", name, got)
				}
			}
		}
	}
}

// Each file holds the player's cycle, turned so that it begins at its zone's start: frame by frame the same, by
// another reader than ours, within half a step of 24 bits. Where the loop closes, the second difference is one of
// those that the file has elsewhere.
func TestExportIsThePlayersCycleTurned(t *testing.T) {
	t.Parallel()
	requireReaders(t)
	project, err := smallYard()
	if err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "out")
	runs(t, "export", project, "-o", out, "--parts", "wav")
	m, err := mapping.Load(filepath.Join(project, mapping.FileName))
	if err != nil {
		t.Fatal(err)
	}
	cycles, err := stream.OpenCycles(m, project, stream.Reduction{})
	if err != nil {
		t.Fatal(err)
	}
	defer cycles.Close()
	turned := 0
	for i, zone := range m.Zones {
		for k, layer := range m.Layers {
			cycle := cycles.Cycle(i, k)
			files, err := filepath.Glob(filepath.Join(out, "wav", layer+"_"+zone.Rank,
				fmt.Sprintf("%s_%s_root-%03d-*.wav", layer, zone.Rank, zone.Root)))
			if err != nil || len(files) != 1 {
				t.Fatal(files, err)
			}
			got := integersOf(t, files[0])
			start := cycle.StartFrame(zone.Start)
			if start != 0 {
				turned++
			}
			want := make([]float32, 2*cycle.Frames)
			if err := cycle.ReadFrames(want, start); err != nil {
				t.Fatal(err)
			}
			if len(got) != len(want) {
				t.Fatalf("%s: %d samples, want %d", files[0], len(got), len(want))
			}
			for n := range want {
				if off := math.Abs(float64(got[n]) - float64(want[n])*(1<<23)); off > 0.51 {
					t.Fatalf("%s: sample %d is %d, %.2f steps from the player's", files[0], n, got[n], off)
				}
			}
			for side := range 2 {
				checkSeam(t, files[0], got, side)
			}
		}
	}
	if turned == 0 {
		t.Error("no zone of the demo begins elsewhere than at frame 0")
	}
}

// integersOf reads a file with go-audio's decoder.
func integersOf(t testing.TB, path string) []int {
	t.Helper()
	file, err := os.ReadFile(path) // at once: the decoder reads sample by sample
	if err != nil {
		t.Fatal(err)
	}
	buffer, err := goaudio.NewDecoder(bytes.NewReader(file)).FullPCMBuffer()
	if err != nil {
		t.Fatal(err)
	}
	return buffer.Data
}

// checkSeam compares the second differences that reach over the loop's end with the largest within the file.
func checkSeam(t *testing.T, path string, interleaved []int, side int) {
	frames := len(interleaved) / 2
	at := func(frame int) int { return interleaved[2*((frame+frames)%frames)+side] }
	second := func(frame int) int {
		d := at(frame-1) - 2*at(frame) + at(frame+1)
		return max(d, -d)
	}
	within := 0
	for frame := 1; frame < frames-1; frame++ {
		within = max(within, second(frame))
	}
	for _, frame := range []int{-1, 0} {
		if d := second(frame); d > within {
			t.Errorf("%s, side %d: the second difference at the loop's end is %d steps, elsewhere at most %d",
				path, side, d, within)
		}
	}
}
