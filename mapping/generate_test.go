// Checks that generated zones tile the keyboard.

package mapping

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// bedsOf names the beds of m's layers and strands on roots.
func bedsOf(m *Map, roots ...int) []Bed {
	var beds []Bed
	for _, root := range roots {
		for _, layer := range m.Layers {
			for _, strand := range m.Strands {
				name := BedName{layer, strand, root}
				beds = append(beds, Bed{name, "beds/" + name.String()})
			}
		}
	}
	return beds
}

func rootsApart(lowest, apart, count int) []int {
	roots := make([]int, count)
	for i := range roots {
		roots[i] = lowest + i*apart
	}
	return roots
}

func defaultGridMap(t *testing.T) *Map {
	t.Helper()
	m := New()
	unused, err := Generate(m, bedsOf(m, rootsApart(24, 6, 16)...), DefaultGrid())
	if err != nil || unused != nil {
		t.Fatalf("unused roots %v, error %v", unused, err)
	}
	return m
}

func TestDefaultGrid(t *testing.T) {
	m := defaultGridMap(t)
	if err := m.Check(); err != nil {
		t.Fatal(err)
	}
	if len(m.Zones) != 16 {
		t.Fatalf("%d zones, want 16", len(m.Zones))
	}
	for key := range 128 {
		want := 0
		if key >= 21 && key <= 108 {
			want = 2
		}
		at := m.ZonesAt(key)
		if len(at) != want {
			t.Errorf("key %d sounds %d zones, want %d", key, len(at), want)
		}
		for _, i := range at {
			if shift := key - m.Zones[i].Root; shift < -11 || shift > 0 {
				t.Errorf("key %d is shifted by %d, want -11 to 0", key, shift)
			}
		}
	}
	for _, z := range m.Zones {
		if z.High != min(z.Root, 108) {
			t.Errorf("root %d is not on top of its zone %d–%d", z.Root, z.Low, z.High)
		}
		// The seams of one rank lie in the middle of the other's zones.
		along := (z.Root - 24) / 12
		if want := []float64{0, 0.75, 0.5, 0.25}[along%4]; z.Start != want {
			t.Errorf("rank %s, root %d: start %v, want %v", z.Rank, z.Root, z.Start, want)
		}
		if want := map[int]string{0: "C", 6: "F#"}[z.Root%12]; z.Rank != want {
			t.Errorf("root %d is in rank %s, want %s", z.Root, z.Rank, want)
		}
		if want := "beds/" + (BedName{"loud", "b", z.Root}).String(); z.Beds["loud"][1] != want {
			t.Errorf("root %d: bed %s, want %s", z.Root, z.Beds["loud"][1], want)
		}
	}
	if warnings := m.KeyWarnings(21, 108, 11); warnings != nil {
		t.Errorf("warnings %q, want none", warnings)
	}
}

// Between the roots that all ranks reach, every key sounds exactly one zone of each rank, whatever
// the grid, and no zone is tuned further than the place of its root allows.
func TestEveryGridTiles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := Grid{StaggerBy: ByZone, Ranks: rapid.IntRange(1, 8).Draw(t, "ranks"), HighestKey: 127}
		g.RootAt = rapid.SampledFrom([]RootAt{RootTop, RootMiddle, RootBottom}).Draw(t, "root at")
		apart := rapid.IntRange(1, 48/g.Ranks).Draw(t, "semitones between roots")
		g.SpacingSemitones = apart * g.Ranks
		lowest := rapid.IntRange(0, 127).Draw(t, "lowest root")
		roots := rootsApart(lowest, apart, (127-lowest)/apart+1)
		m := New()
		unused, err := Generate(m, bedsOf(m, roots...), g)
		if err != nil || len(unused) > 0 {
			t.Fatalf("unused roots %v, error %v", unused, err)
		}
		checkTiling(t, m, g.Ranks, roots)
		for _, z := range m.Zones {
			down, up := z.Root-z.Low, z.High-z.Root
			limits := map[RootAt][2]int{RootTop: {g.SpacingSemitones - 1, 0}, RootBottom: {0, g.SpacingSemitones - 1},
				RootMiddle: {g.SpacingSemitones / 2, (g.SpacingSemitones - 1) / 2}}[g.RootAt]
			if down > limits[0] || up > limits[1] {
				t.Fatalf("root %d of zone %d–%d: %d down, %d up; want at most %v", z.Root, z.Low, z.High,
					down, up, limits)
			}
		}
	})
}

// Irregular roots are dealt to the ranks in turn and reach from neighbour to neighbour.
func TestIrregularRootsTile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := Grid{StaggerBy: ByZone, Ranks: rapid.IntRange(1, 4).Draw(t, "ranks"), HighestKey: 127}
		g.RootAt = rapid.SampledFrom([]RootAt{RootTop, RootMiddle, RootBottom}).Draw(t, "root at")
		roots := rapid.SliceOfNDistinct(rapid.IntRange(0, 127), g.Ranks, 20, rapid.ID[int]).Draw(t, "roots")
		m := New()
		unused, err := Generate(m, bedsOf(m, roots...), g)
		if err != nil || len(unused) > 0 {
			t.Fatalf("unused roots %v, error %v", unused, err)
		}
		slices.Sort(roots)
		checkTiling(t, m, g.Ranks, roots)
	})
}

// checkTiling is for sorted roots, dealt to the ranks in turn.
func checkTiling(t *rapid.T, m *Map, ranks int, roots []int) {
	if err := m.Check(); err != nil { // zones of one rank never overlap
		t.Fatal(err)
	}
	if len(m.Zones) != len(roots) {
		t.Fatalf("%d zones for %d roots", len(m.Zones), len(roots))
	}
	for _, z := range m.Zones {
		if !z.Holds(z.Root) {
			t.Fatalf("root %d is outside its zone %d–%d", z.Root, z.Low, z.High)
		}
	}
	if len(roots) < ranks {
		return
	}
	for key := roots[ranks-1]; key <= roots[len(roots)-ranks]; key++ {
		if at := m.ZonesAt(key); len(at) != ranks {
			t.Fatalf("key %d sounds %d zones, want %d", key, len(at), ranks)
		}
	}
}

// Half-way between two roots a key belongs to the upper one, which is tuned down to it.
func TestMiddleRootsPreferDown(t *testing.T) {
	m := New()
	for _, spacing := range []int{12, 0} {
		if _, err := Generate(m, bedsOf(m, 48, 60, 72), Grid{StaggerBy: ByZone, Ranks: 1, SpacingSemitones: spacing,
			RootAt: RootMiddle, HighestKey: 127}); err != nil {
			t.Fatal(err)
		}
		if z := m.Zones[1]; z.Low != 54 || z.High != 65 {
			t.Errorf("spacing %d: root 60 has keys %d–%d, want 54–65", spacing, z.Low, z.High)
		}
	}
}

func TestRootsOffTheGridAreReported(t *testing.T) {
	m := New()
	unused, err := Generate(m, bedsOf(m, 24, 30, 31, 36, 50), DefaultGrid())
	if err != nil || !slices.Equal(unused, []int{31, 50}) {
		t.Errorf("unused %v, %v; want 31 and 50", unused, err)
	}
	if len(m.Zones) != 3 {
		t.Errorf("%d zones, want 3", len(m.Zones))
	}
}

func TestGenerateRefuses(t *testing.T) {
	m := New()
	full := bedsOf(m, 24, 36)
	double := append(bedsOf(m, 24), Bed{BedName{"soft", "a", 24}, "beds/soft-a-bell.wav"})
	stranger := append(bedsOf(m, 24), Bed{BedName{"mid", "a", 24}, "beds/mid-a-k024.wav"})
	high := DefaultGrid()
	high.LowestKey = 60
	for _, c := range []struct {
		name string
		beds []Bed
		grid Grid
		want []string
	}{
		{"a missing bed", slices.Delete(slices.Clone(full), 5, 6), DefaultGrid(),
			[]string{"beds/soft-b-k036.wav: missing", "root 36"}},
		{"two missing beds", full[1:7], DefaultGrid(),
			[]string{"beds/soft-a-k024.wav: missing", "beds/loud-b-k036.wav: missing"}},
		{"two beds for one place", double, DefaultGrid(),
			[]string{"beds/soft-a-k024.wav and beds/soft-a-bell.wav", "keep one"}},
		{"an unknown layer", stranger, DefaultGrid(), []string{`beds/mid-a-k024.wav: layer "mid"`, "soft, loud"}},
		{"no beds", nil, DefaultGrid(), []string{"no beds"}},
		{"keys out of reach", full, high, []string{"no zone reaches the keys 60 to 108"}},
		{"no ranks", full, Grid{StaggerBy: ByZone, SpacingSemitones: 12, RootAt: RootTop, HighestKey: 127},
			[]string{"ranks: 0"}},
		{"a spacing that does not divide", full, Grid{StaggerBy: ByZone, Ranks: 2, SpacingSemitones: 7,
			RootAt: RootTop, HighestKey: 127}, []string{"such as 8"}},
		{"keys upside down", full, Grid{StaggerBy: ByZone, Ranks: 1, SpacingSemitones: 12, RootAt: RootTop,
			LowestKey: 9, HighestKey: 8}, []string{"lowest_key: 9 is above highest_key, 8"}},
		{"an unknown place", full, Grid{StaggerBy: ByZone, Ranks: 1, SpacingSemitones: 12, RootAt: "side",
			HighestKey: 127}, []string{`"side"`}},
		{"a start of 1", full, Grid{StaggerBy: ByZone, Ranks: 1, SpacingSemitones: 12, RootAt: RootTop,
			HighestKey: 127, Starts: []float64{1}}, []string{"starts: 1: expected turns"}},
	} {
		_, err := Generate(New(), c.beds, c.grid)
		for _, want := range c.want {
			if err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %v\nwant %s", c.name, err, want)
			}
		}
	}
}

func TestKeyWarnings(t *testing.T) {
	m := New()
	if _, err := Generate(m, bedsOf(m, 60, 66, 72), DefaultGrid()); err != nil {
		t.Fatal(err)
	}
	// Rank C: 49–72; rank F#: 55–66.
	want := []string{
		"keys C3 (48), C#5 (73) sound no zone: they are silent",
		"keys C#3–F#3 (49–54), G4–C5 (67–72) sound only one zone: its seams can be heard and its cycle repeats alone",
		"keys C#3 (49), G3 (55), C#4 (61) are shifted by more than 10 semitones",
	}
	if got := m.KeyWarnings(48, 73, 10); !slices.Equal(got, want) {
		t.Errorf("%q\nwant %q", got, want)
	}
}
