package stream

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/wav"
)

// writeBed writes a bed of noise.
func writeBed(t *testing.T, path string, rateHz, channels int, format wav.Format, seconds float64, seed uint64) {
	t.Helper()
	w, err := wav.Create(path, rateHz, channels, format)
	if err != nil {
		t.Fatal(err)
	}
	frames := int(seconds * float64(rateHz))
	if err := w.WriteFrames(noise(seed, frames)[:channels*frames]); err != nil {
		t.Fatal(err)
	}
	if err := w.Commit(); err != nil {
		t.Fatal(err)
	}
}

// smallProject writes two layers of two strands on two roots and generates their
// map. One bed is mono, one of another rate.
func smallProject(t *testing.T) (dir string, m *mapping.Map) {
	t.Helper()
	dir = t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "beds"), 0o777); err != nil {
		t.Fatal(err)
	}
	m = mapping.New()
	m.OverlapSec = 0.1
	var beds []mapping.Bed
	for i, name := range []string{
		"soft-a-k036", "soft-b-k036", "loud-a-k036", "loud-b-k036",
		"soft-a-k042", "soft-b-k042", "loud-a-k042", "loud-b-k042",
	} {
		rateHz, channels := 48000, 2
		switch name {
		case "soft-b-k036":
			rateHz = 44100
		case "loud-a-k042":
			channels = 1
		}
		bed, err := mapping.ParseBedName(name + ".wav")
		if err != nil {
			t.Fatal(err)
		}
		beds = append(beds, mapping.Bed{BedName: bed, Path: "beds/" + name + ".wav"})
		writeBed(t, filepath.Join(dir, "beds", name+".wav"), rateHz, channels, wav.Format(i%3),
			0.3+0.01*float64(i), uint64(i))
	}
	if _, err := mapping.Generate(m, beds, mapping.DefaultGrid()); err != nil {
		t.Fatal(err)
	}
	m.Stagger = mapping.Stagger{By: mapping.ByPress, Starts: mapping.GoldenStarts(3)}
	if err := m.Check(); err != nil {
		t.Fatal(err)
	}
	return dir, m
}

// Every start that a key and a press can give has its head, and the head holds
// the frames of its zone's cycle.
func TestCyclesHasTheHeadOfEveryStart(t *testing.T) {
	dir, m := smallProject(t)
	opened, err := Open(m, dir, 64<<20)
	if err != nil {
		t.Fatal(err)
	}
	defer opened.Close()
	if len(opened.Files()) != 8 {
		t.Errorf("%d beds open, want 8", len(opened.Files()))
	}
	reader := NewReader(1, leastRing)
	feed := reader.Feed(0)
	starts := map[int64]bool{}
	for i := range m.Zones {
		zone := &m.Zones[i]
		for layer := range m.Layers {
			for key := zone.Low; key <= zone.High; key++ {
				for press := range int64(4) {
					start := m.Start(zone, key, press)
					cycle, head := opened.Cycle(i, layer), opened.Head(i, layer, start)
					if head.Cycle() != cycle || head.StartFrame() != cycle.StartFrame(start) {
						t.Fatalf("zone %d, layer %d: a head at %d of %p, want %d of %p", i, layer, head.StartFrame(),
							head.Cycle(), cycle.StartFrame(start), cycle)
					}
					starts[head.StartFrame()] = true
				}
			}
			for _, start := range m.Starts(zone) {
				head := opened.Head(i, layer, start)
				feed.Start(head, oneStep)
				for from := int64(-headBefore); from < leastHead; from += headBefore {
					want := readFrames(t, opened.Cycle(i, layer), head.StartFrame()+from, headBefore)
					if !slices.Equal(feed.Window(from, headBefore), want) {
						t.Fatalf("zone %d, layer %d, start %v: note frame %d is not the cycle's", i,
							layer, start, from)
					}
				}
			}
		}
	}
	if len(starts) < 3 {
		t.Errorf("%d different starts, want the stagger's 3 at least", len(starts))
	}
}

// Each cycle is made of its own zone's and layer's beds, in the strands' order.
func TestCyclesAreTheirZones(t *testing.T) {
	dir, m := smallProject(t)
	opened, err := Open(m, dir, 64<<20)
	if err != nil {
		t.Fatal(err)
	}
	defer opened.Close()
	for i, zone := range m.Zones {
		for layer, name := range m.Layers {
			cycle := opened.Cycle(i, layer)
			for strand, bed := range cycle.beds {
				if want := fmt.Sprintf("beds/%s-%s-k%03d.wav", name, m.Strands[strand],
					zone.Root); bed.Name() != want {
					t.Errorf("zone %d, layer %s, strand %d plays %s, want %s", i, name, strand, bed.Name(), want)
				}
			}
			if cycle.overlap != 4800 {
				t.Errorf("overlap of %d frames, want 0.1 s", cycle.overlap)
			}
		}
	}
}

// Too little memory says how much is needed, of which heads get half.
func TestOpeningSaysWhatMemoryItNeeds(t *testing.T) {
	dir, m := smallProject(t)
	_, err := Open(m, dir, 1<<16)
	if err == nil {
		t.Fatal("opened in 64 KiB")
	}
	said := regexp.MustCompile(`^12 starts need (\d+) MB of memory`).FindStringSubmatch(err.Error())
	if said == nil {
		t.Fatalf("error %q, want it to say what 12 starts need", err)
	}
	megabytes, _ := strconv.ParseInt(said[1], 10, 64)
	opened, err := Open(m, dir, megabytes<<20/2)
	if err != nil {
		t.Fatalf("what it asked for is not enough: %v", err)
	}
	opened.Close()
	if opened, err := Open(m, dir, (megabytes-1)<<20/2); err == nil {
		opened.Close()
		t.Errorf("it asked for %d MB and needs less", megabytes)
	}
}

// All that is wrong with the beds is told at once, with the zone it is in.
func TestOpeningNamesEveryBedThatIsWrong(t *testing.T) {
	dir, m := smallProject(t)
	bed := func(name string) string { return filepath.Join(dir, "beds", name) }
	outside := filepath.Join(t.TempDir(), "outside.wav")
	if err := os.Rename(bed("soft-a-k036.wav"), outside); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(outside, bed("soft-a-k036.wav")); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(bed("loud-b-k036.wav")); err != nil {
		t.Fatal(err)
	}
	writeBed(t, bed("soft-b-k042.wav"), 48000, 2, wav.Float, 0.15, 1)
	for i := range m.Zones {
		if zone := &m.Zones[i]; zone.Root == 42 {
			zone.Beds["loud"] = []string{zone.Beds["loud"][0], "../outside.wav"}
		}
	}
	_, err := Open(m, dir, 64<<20)
	for _, want := range []string{
		"root 36, layer soft: beds/soft-a-k036.wav: cannot be opened inside the project",
		"root 36, layer loud: beds/loud-b-k036.wav: missing",
		"root 42, layer soft: beds/soft-b-k042.wav: 7200 frames, 0.150 s: expected at least twice the overlap",
		"root 42, layer loud: ../outside.wav: cannot be opened inside the project",
	} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want it to say %q", err, want)
		}
	}
}

// A cycle on which a zone begins half-way starts with its second bed when both are equally long.
func TestCyclesStartInTurns(t *testing.T) {
	dir, m := smallProject(t)
	m.BedSec = 0.3
	for i := range m.Zones {
		m.Zones[i].Start = 0.5
	}
	m.Stagger = mapping.Stagger{By: mapping.ByZone}
	opened, err := Open(m, dir, 64<<20)
	if err != nil {
		t.Fatal(err)
	}
	defer opened.Close()
	for i := range m.Zones {
		for layer := range m.Layers {
			cycle := opened.Cycle(i, layer)
			if cycle.Frames != int64(math.Round(2*(0.3-0.1)*48000)) {
				t.Errorf("%d frames where 0.3 s of each bed is used", cycle.Frames)
			}
			if start := opened.Head(i, layer, 0.5).StartFrame(); start != cycle.begins[1] {
				t.Errorf("half-way is frame %d, the second bed begins at %d", start, cycle.begins[1])
			}
		}
	}
}

// Cycles that are asked for at a rate run at it, have the length that it gives them and sound the same pitch; without
// heads, they need no memory for any.
func TestCyclesAtAnotherRate(t *testing.T) {
	dir, m := smallProject(t)
	own, err := OpenCycles(m, dir, Reduction{})
	if err != nil {
		t.Fatal(err)
	}
	defer own.Close()
	opened, err := OpenCycles(m, dir, Reduction{RateHz: 32000})
	if err != nil {
		t.Fatal(err)
	}
	defer opened.Close()
	for i := range m.Zones {
		for layer := range m.Layers {
			cycle, want := opened.Cycle(i, layer), own.Cycle(i, layer)
			if cycle.RateHz != 32000 || math.Abs(cycle.Seconds(0)-want.Seconds(0)) > 2.0/32000 {
				t.Errorf("zone %d, layer %d: %.6f s at %d Hz, want %.6f s at 32000", i, layer, cycle.Seconds(0),
					cycle.RateHz, want.Seconds(0))
			}
			testSource(t, cycle, cycle.Frames)
		}
	}
	// Lengths that do not come out to the frame at either rate are no beds too short.
	for m.BedSec = 0.2001; m.BedSec < 0.3; m.BedSec += 0.0123 {
		for _, reduction := range []Reduction{{RateHz: 32000}, {BedsSec: 0.2501}, {RateHz: 16000, BedsSec: 0.2503}} {
			reduced, err := OpenCycles(m, dir, reduction)
			if err != nil {
				t.Fatalf("%v s of each bed, %+v: %v", m.BedSec, reduction, err)
			}
			cycle := reduced.Cycle(0, 0)
			most := m.BedSec
			if reduction.BedsSec > 0 {
				most = min(most, reduction.BedsSec)
			}
			if want := 2*most - 2*m.OverlapSec; math.Abs(cycle.Seconds(0)-want) > 0.001 {
				t.Errorf("%v s of each bed, %+v: a cycle of %.4f s, want %.4f", m.BedSec, reduction,
					cycle.Seconds(0), want)
			}
			reduced.Close()
		}
	}
}

// Of longer beds a first stretch is used, shorter ones stay whole, and the join closes where the stretch ends.
func TestShorterCycles(t *testing.T) {
	dir, m := smallProject(t) // whose beds last 0.3 to 0.37 s
	own, err := OpenCycles(m, dir, Reduction{})
	if err != nil {
		t.Fatal(err)
	}
	defer own.Close()
	const mostSec = 0.34
	opened, err := OpenCycles(m, dir, Reduction{BedsSec: mostSec})
	if err != nil {
		t.Fatal(err)
	}
	defer opened.Close()
	shortened := 0
	for i := range m.Zones {
		for layer := range m.Layers {
			cycle, whole := opened.Cycle(i, layer), own.Cycle(i, layer)
			var used []int64
			for k, frames := range whole.used {
				most := int64(mostSec * float64(whole.beds[k].RateHz()))
				if frames > most {
					shortened++
				}
				used = append(used, min(frames, most))
			}
			if want := mapping.CycleFrames(used, whole.overlap); cycle.Frames != want {
				t.Errorf("zone %d, layer %d: %d frames, want %d of %d", i, layer, cycle.Frames, want, whole.Frames)
			}
			testSource(t, cycle, cycle.Frames)
		}
	}
	if shortened == 0 {
		t.Error("no bed is longer than that: nothing was tested")
	}
	if _, err := OpenCycles(m, dir, Reduction{BedsSec: 0.15}); err == nil ||
		!strings.Contains(err.Error(), "twice the overlap") {
		t.Errorf("beds shorter than twice the overlap: %v", err)
	}
}
