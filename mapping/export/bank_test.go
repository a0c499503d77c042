// The bank's programs, articulation and samples against the standard.

package export

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/export/dls"
	"lapstrake/mapping/export/testyard"
	"lapstrake/mapping/wav"
)

// routing is what a connection joins.
type routing struct {
	source, control dls.Source
	destination     dls.Destination
}

// legalRoutings are those of the table of DLS Level 2.2 (RP-025, Amendment 2; "Level 2 Articulator Connection Graph")
// that the bank has any use for; values from memory of that table.
var legalRoutings = []routing{
	{dls.None, dls.None, dls.Pan}, {dls.None, dls.None, dls.EG1Attack}, {dls.None, dls.None, dls.EG1Release},
	{dls.Velocity, dls.None, dls.Gain},
	{dls.LFO, dls.Modulation, dls.Pitch}, {dls.LFO, dls.ChannelPressure, dls.Pitch},
	{dls.Vibrato, dls.Modulation, dls.Pitch}, {dls.Vibrato, dls.ChannelPressure, dls.Pitch},
}

// What the table has not is controller 1 on gain, in program 0 alone, and where the map fades at seams, a fixed gain.
func TestBankStaysWithinTheStandard(t *testing.T) {
	for _, fadeDB := range []float64{0, 12} {
		testStandard(t, yard(t, func(j *Job) { j.Map.SeamFadeDB = fadeDB }))
	}
}

func testStandard(t *testing.T, j *Job) {
	t.Helper()
	b := j.layBank(itemsOf(t, j), 16)
	if err := dls.Check(&b.Bank); err != nil {
		t.Fatal(err)
	}
	if len(b.Programs) != 4 {
		t.Fatalf("%d programs, want 4", len(b.Programs))
	}
	for _, p := range b.Programs {
		beyond := 0
		for _, r := range p.Regions {
			for _, c := range r.Connections {
				if c.Transform&0xF != 0 {
					t.Errorf("program %d: transform %#x: its lowest four bits are to be 0", p.Number, c.Transform)
				}
				if r := (routing{c.Source, c.Control, c.Destination}); slices.Contains(legalRoutings, r) {
					continue
				}
				if c.Source == dls.None && c.Destination == dls.Gain && j.levelsDiffer() {
					continue
				}
				beyond++
				if c.Source != dls.Modulation || c.Destination != dls.Gain {
					t.Errorf("program %d: a connection from %#x by %#x to %#x is not in the table", p.Number, c.Source,
						c.Control, c.Destination)
				}
			}
		}
		if want := map[int]int{0: 2 * len(p.Regions)}[p.Number]; beyond != want {
			t.Errorf("program %d: %d connections beyond the table, want %d", p.Number, beyond, want)
		}
	}
}

// regionsOf lists the layers of the yard's zones that a program sounds at a key and velocity, once for both sides.
func regionsOf(b *bankLayout, program, key, velocity int) (layers []int) {
	for _, p := range b.Programs {
		for _, r := range p.Regions {
			if p.Number == program && r.KeyLow <= key && key <= r.KeyHigh && r.VelocityLow <= velocity &&
				velocity <= r.VelocityHigh && r.Channel == dls.Left {
				layers = append(layers, b.items[r.Wave/2].Layer)
			}
		}
	}
	slices.Sort(layers)
	return layers
}

// The bank's texts are ASCII: its readers know no other letters.
func TestBankTextsAreASCII(t *testing.T) {
	j := yard(t, func(j *Job) {
		j.Title, j.Artist, j.Map.Zones[0].Rank, j.Map.Zones[1].Rank = "Sløp é", "Ångström", "♭", "♭"
	})
	b := j.layBank(itemsOf(t, j), 16)
	for _, text := range []string{b.Title, b.Artist, b.Comment, b.Programs[0].Name, b.Waves[0].Name} {
		if text == "" || wav.ASCII(text) != text {
			t.Errorf("%q", text)
		}
	}
}

// Every key sounds both ranks; the first program in both layers, the second in the one of its velocity, the others in
// one.
func TestBankPrograms(t *testing.T) {
	j := yard(t, nil)
	b := j.layBank(itemsOf(t, j), 16)
	for key := 31; key <= 42; key++ { // where the ranks overlap
		for _, c := range []struct {
			program, velocity int
			want              []int
		}{
			{0, 1, []int{0, 0, 1, 1}}, {0, 127, []int{0, 0, 1, 1}}, {1, 1, []int{0, 0}}, {1, 63, []int{0, 0}},
			{1, 64, []int{1, 1}}, {1, 127, []int{1, 1}},
			{2, 100, []int{0, 0}}, {3, 100, []int{1, 1}}, {4, 100, nil},
		} {
			if got := regionsOf(b, c.program, key, c.velocity); !slices.Equal(got, c.want) {
				t.Errorf("program %d, key %d, velocity %d sounds layers %v, want %v", c.program, key,
					c.velocity, got, c.want)
			}
		}
	}
	for _, p := range b.Programs {
		groups := map[int][]dls.Channel{}
		for _, r := range p.Regions {
			groups[r.PhaseGroup] = append(groups[r.PhaseGroup], r.Channel)
			if r.Wave%2 != int(r.Channel) || b.Waves[r.Wave].Root != b.items[r.Wave/2].Zone.Root {
				t.Errorf("program %d: side %d plays wave %d with root %d", p.Number, r.Channel, r.Wave,
					b.Waves[r.Wave].Root)
			}
		}
		for group, sides := range groups {
			if !slices.Equal(sides, []dls.Channel{dls.Left, dls.Right}) {
				t.Errorf("program %d, phase group %d has the sides %v, want left and right", p.Number, group, sides)
			}
		}
	}
}

// Maps of one and of three layers.
func TestBankOfOtherLayers(t *testing.T) {
	layered := func(layers ...string) *bankLayout {
		j := yard(t, func(j *Job) {
			j.Map.Layers = layers
			for i := range j.Map.Zones {
				beds := j.Map.Zones[i].Beds["soft"]
				j.Map.Zones[i].Beds = map[string][]string{}
				for _, layer := range layers {
					j.Map.Zones[i].Beds[layer] = beds
				}
			}
		})
		return j.layBank(itemsOf(t, j), 16)
	}
	if b := layered("only"); len(b.Programs) != 1 || !slices.Equal(regionsOf(b, 0, 40, 1), []int{0, 0}) {
		t.Errorf("one layer: %d programs, the first sounds %v", len(b.Programs), regionsOf(b, 0, 40, 1))
	}
	three := layered("soft", "middle", "loud")
	if len(three.Programs) != 5 || !slices.Equal(regionsOf(three, 0, 40, 100), []int{0, 0, 2, 2}) {
		t.Errorf("three layers: %d programs, the first sounds %v", len(three.Programs), regionsOf(three, 0, 40, 100))
	}
	for velocity, want := range map[int]int{1: 0, 41: 0, 42: 1, 84: 1, 85: 2, 127: 2} {
		if got := regionsOf(three, 1, 40, velocity); !slices.Equal(got, []int{want, want}) {
			t.Errorf("three layers, velocity %d sounds %v, want %d", velocity, got, want)
		}
	}
}

// gainDB adds up what a fade makes of controller 1, as the standard reads it: x is value/128, an inverted one 1−x, the
// sum of all gains ends at 0 dB.
func gainDB(fade []dls.Connection, value int) float64 {
	sum := 0.0
	for _, c := range fade {
		x, y := float64(value)/128, 1.0
		if c.Control == dls.Modulation {
			y = x
		}
		if c.Transform&dls.InvertSource != 0 {
			x = 1 - x
		}
		if c.Transform&dls.InvertControl != 0 {
			y = 1 - y
		}
		sum += float64(c.Scale) / 655360 * x * y
	}
	return min(sum, 0)
}

// At the ends one layer is whole and the other at least 40 dB down, in the middle both follow the map's law within
// 0.2 dB, and on the way the power of both together stays within 1 dB (equal power) or 3.5 dB (equal gain) of theirs.
func TestFadeFollowsTheLaw(t *testing.T) {
	m := testyard.Map()
	for law, strays := range map[mapping.Law]float64{mapping.EqualPower: 1, mapping.EqualGain: 3.5} {
		m.Dynamics.Law = law
		gains := make([]float64, 2)
		for value := range 128 {
			m.LayerGains(float64(value)/127, gains)
			soft, loud := gainDB(fadeOut(m.Dynamics), value), gainDB(fadeIn(m.Dynamics), value)
			switch value {
			case 0:
				if soft != 0 || loud > -40 {
					t.Errorf("%s at 0: %.2f and %.2f dB", law, soft, loud)
				}
			case 64:
				if math.Abs(soft-20*math.Log10(gains[0])) > 0.2 || math.Abs(loud-20*math.Log10(gains[1])) > 0.2 {
					t.Errorf("%s at 64: %.2f and %.2f dB, want %.2f and %.2f", law, soft, loud,
						20*math.Log10(gains[0]), 20*math.Log10(gains[1]))
				}
			case 127:
				if loud != 0 || soft > -40 {
					t.Errorf("%s at 127: %.2f and %.2f dB", law, soft, loud)
				}
			}
			if together := 10 * math.Log10(math.Pow(10, soft/10)+math.Pow(10, loud/10)); math.Abs(together) > strays {
				t.Errorf("%s at %d: both together have %+.2f dB", law, value, together)
			}
		}
	}
}

// By even loudness, the layers being 9 LU apart, both together rise within 2.5 LU of a straight line; a bank has but
// two terms for each layer, and none above 0 dB.
func TestFadeOfEvenLoudness(t *testing.T) {
	d := mapping.Dynamics{Law: mapping.EvenLoudness, RangeLU: 9}
	for value := 0; value < 128; value += 8 {
		soft, loud := gainDB(fadeOut(d), value)-9, gainDB(fadeIn(d), value)
		together := 10 * math.Log10(math.Pow(10, soft/10)+math.Pow(10, loud/10))
		if line := -9 + 9*float64(value)/127; math.Abs(together-line) > 2.5 {
			t.Errorf("at %d both together have %.1f dB, on an even rise %.1f", value, together, line)
		}
	}
}

// The samples are the player's at its headroom, with the same numbers around the loop as in it.
func TestBankSamples(t *testing.T) {
	j := yard(t, nil)
	items := itemsOf(t, j)
	for _, bits := range []int{8, 16} {
		b := j.layBank(items, bits)
		path := filepath.Join(t.TempDir(), "bank.dls")
		if clipped, err := b.write(path, noStep); err != nil || slices.Max(clipped) > 0 {
			t.Fatal(clipped, err)
		}
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		file, err := dls.Read(bytes.NewReader(data), int64(len(data)), path)
		if err != nil {
			t.Fatal(err)
		}
		steps := math.Exp2(float64(bits - 1))
		headroom := math.Pow(10, -12.0/20)
		for wave := range b.Waves {
			const guard = dls.GuardFrames
			stored := make([]int16, yardFrames+2*guard)
			if err := file.ReadWave(stored, wave, 0); err != nil {
				t.Fatal(err)
			}
			if !slices.Equal(stored[:guard], stored[yardFrames:yardFrames+guard]) ||
				!slices.Equal(stored[guard:2*guard], stored[yardFrames+guard:]) {
				t.Errorf("%d bits, wave %d: around the loop stand other frames than in it", bits, wave)
			}
			item := &b.items[wave/2]
			want := make([]float32, 2*yardFrames)
			if err := item.read(want, 0); err != nil {
				t.Fatal(err)
			}
			for k := range yardFrames {
				if off := math.Abs(float64(stored[guard+k]) - headroom*float64(want[2*k+wave%2])*steps); off > 1.51 {
					t.Fatalf("%d bits, wave %d, frame %d is %.2f steps from the player's", bits, wave, k, off)
				}
			}
		}
	}
}

// Where the map fades at seams, a bank's regions are as loud as the map has the zones of each key, samples and fixed
// gains together; the samples stay below full scale, and left and right are still in step.
func TestBankFollowsTheFade(t *testing.T) {
	for name, c := range map[string]struct {
		headroomDB float64
		softerDB   float64 // all of it, since samples may not be louder than they are
	}{"as it is": {12, 0}, "no headroom": {0, 10 * math.Log10(2)}} {
		j := yard(t, func(j *Job) { j.Map.SeamFadeDB, j.Map.HeadroomDB = 12, c.headroomDB })
		b := j.layBank(itemsOf(t, j), 16)
		if err := dls.Check(&b.Bank); err != nil {
			t.Fatal(err)
		}
		for _, p := range b.Programs {
			groups, heard := map[int][]dls.Channel{}, map[[2]int]bool{}
			for _, r := range p.Regions {
				groups[r.PhaseGroup] = append(groups[r.PhaseGroup], r.Channel)
				fixedDB := 0.0
				for _, connection := range r.Connections {
					if connection.Source == dls.None && connection.Destination == dls.Gain {
						fixedDB += float64(connection.Scale) / 655360
					}
				}
				if fixedDB > 0 {
					t.Errorf("%s, program %d: a region is raised by %v dB", name, p.Number, fixedDB)
				}
				for key := r.KeyLow; key <= r.KeyHigh; key++ {
					heard[[2]int{r.Wave, key}] = true
					want := 20*math.Log10(j.Map.ZoneGain(b.items[r.Wave/2].Zone, key)) - c.headroomDB - c.softerDB
					if got := 20*math.Log10(float64(b.gain)) + fixedDB; math.Abs(got-want) > 0.011 {
						t.Errorf("%s, program %d, key %d, wave %d: %.3f dB, want %.3f", name, p.Number, key,
							r.Wave, got, want)
					}
				}
			}
			layers := 1
			if p.Number < 2 {
				layers = 2
			}
			if want := layers * 2 * 3 * 12; len(heard) != want { // both sides of three zones of twelve keys
				t.Errorf("%s, program %d: %d waves on keys, want %d", name, p.Number, len(heard), want)
			}
			for group, sides := range groups {
				if !slices.Equal(sides, []dls.Channel{dls.Left, dls.Right}) {
					t.Errorf("%s, phase group %d has the sides %v, want left and right", name, group, sides)
				}
			}
		}
	}
}

// The map's part of the velocity curve: at 1 the standard's own stands, unwritten.
func TestBankVelocity(t *testing.T) {
	for amount, want := range map[float64][]int32{0: {0}, 0.5: {dls.Decibels(-48)}, 1: nil} {
		j := yard(t, func(j *Job) { j.Map.VelocityAmount = amount })
		var found []int32
		for _, c := range j.articulation(dls.Left) {
			if c.Source == dls.Velocity {
				found = append(found, c.Scale)
			}
		}
		if !slices.Equal(found, want) {
			t.Errorf("amount %v: %v, want %v", amount, found, want)
		}
	}
}
