// Which files there are, what they are called, and which keys and presses they serve.

package export

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping"
)

// said lists the items of the first layer and of rank C in short: root, start, press, keys.
func said(items []Item) (all []string) {
	for _, i := range items {
		if i.Layer == 0 && i.Zone.Rank == "C" {
			all = append(all, fmt.Sprintf("%d %v %d/%d %v", i.Zone.Root, i.Start, i.Press, i.Of, i.Keys))
		}
	}
	return all
}

// One file for each zone and layer, from the start of its zone; asked for all starts, one for each that the map gives,
// for the keys or presses that have it.
func TestItemsOfEveryStagger(t *testing.T) {
	for name, c := range map[string]struct {
		by     mapping.By
		starts Starts
		want   []string
	}{
		"zone": {mapping.ByZone, FirstStart, []string{"36 0 1/1 [{25 36}]", "48 0.75 1/1 [{37 48}]"}},
		"zone, all": {mapping.ByZone, AllStarts, []string{"36 0 1/3 [{25 36}]", "36 0.5 2/3 [{25 36}]",
			"36 0.75 3/3 [{25 36}]", "48 0.75 1/3 [{37 48}]", "48 0 2/3 [{37 48}]", "48 0.5 3/3 [{37 48}]"}},
		"key": {mapping.ByKey, FirstStart, []string{"36 0.25 1/1 [{25 36}]", "48 0 1/1 [{37 48}]"}},
		"key, all": {mapping.ByKey, AllStarts,
			[]string{"36 0.25 1/1 [{25 26} {28 29} {31 32} {34 35}]", "36 0 1/1 [{27 27} {30 30} {33 33} {36 36}]",
				"48 0 1/1 [{37 38} {40 41} {43 44} {46 47}]", "48 0.75 1/1 [{39 39} {42 42} {45 45} {48 48}]"}},
		"press": {mapping.ByPress, FirstStart, []string{"36 0 1/1 [{25 36}]", "48 0.75 1/1 [{37 48}]"}},
		"press, all": {mapping.ByPress, AllStarts, []string{"36 0 1/3 [{25 36}]", "36 0.25 2/3 [{25 36}]",
			"36 0.25 3/3 [{25 36}]", "48 0.75 1/3 [{37 48}]", "48 0 2/3 [{37 48}]", "48 0 3/3 [{37 48}]"}},
	} {
		j := yard(t, func(j *Job) {
			j.Map.Stagger.By, j.Starts = c.by, c.starts
			if c.by != mapping.ByZone {
				j.Map.Stagger.Starts = []float64{0, 0.25, 0.25}
			}
		})
		items := itemsOf(t, j)
		if got := said(items); !slices.Equal(got, c.want) {
			t.Errorf("%s:\n%s\nwant\n%s", name, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
		// The first press of every key finds the file from the very frame at which the player begins.
		for layer := range j.Map.Layers {
			for zone := range j.Map.Zones {
				z := &j.Map.Zones[zone]
				for key := z.Low; key <= z.High && c.starts == AllStarts; key++ {
					at := slices.IndexFunc(items, func(i Item) bool {
						return i.Layer == layer && i.Zone == z && i.Press == 1 &&
							slices.ContainsFunc(i.Keys,
								func(k mapping.KeyRange) bool { return k.Low <= key && key <= k.High })
					})
					if at < 0 || items[at].startFrame != j.Cycles(zone, layer).StartFrame(j.Map.Start(z, key, 0)) {
						t.Errorf("%s: key %d of root %d: item %d", name, key, z.Root, at)
					}
				}
			}
		}
	}
}

// Names sort by layer, rank and root, tell keys as numbers and names, and differ even without capitals.
func TestItemNames(t *testing.T) {
	items := itemsOf(t, yard(t, nil))
	want := []string{
		"soft_C_root-036-C2_keys-025-C#1-to-036-C2", "soft_C_root-048-C3_keys-037-C#2-to-048-C3",
		"soft_F#_root-042-F#2_keys-031-G1-to-042-F#2",
		"loud_C_root-036-C2_keys-025-C#1-to-036-C2", "loud_C_root-048-C3_keys-037-C#2-to-048-C3",
		"loud_F#_root-042-F#2_keys-031-G1-to-042-F#2",
	}
	for i, item := range items {
		if item.Name != want[i] {
			t.Errorf("item %d is called %s, want %s", i, item.Name, want[i])
		}
	}
	later := itemsOf(t, yard(t, func(j *Job) { j.Map.MiddleC = mapping.MiddleC3 }))
	if want := "soft_C_root-036-C1_keys-025-C#0-to-036-C1"; later[0].Name != want {
		t.Errorf("with middle C as C3: %s, want %s", later[0].Name, want)
	}
	for _, stagger := range []mapping.Stagger{{By: mapping.ByPress, Starts: []float64{0, 0.25, 0.25}},
		{By: mapping.ByKey, Starts: []float64{0, 0.25}}} {
		seen := map[string]bool{}
		for _, item := range itemsOf(t, yard(t, func(j *Job) { j.Map.Stagger, j.Starts = stagger, AllStarts })) {
			if seen[item.Name] {
				t.Errorf("by %s, two files are called %s", stagger.By, item.Name)
			}
			seen[item.Name] = true
		}
	}
}

// A file for several runs of keys has the first run in its name. It has no inst chunk, which would give that run
// alone; its description lists all runs.
func TestFilesOfSeveralRuns(t *testing.T) {
	j := yard(t, func(j *Job) {
		j.Map.Stagger, j.Starts = mapping.Stagger{By: mapping.ByKey, Starts: []float64{0, 0.5, 0.5}}, AllStarts
	})
	items := itemsOf(t, j)
	if want := "soft_C_root-036-C2_keys-025-C#1-to-026-D1-and-3-more_start-0.500"; items[0].Name != want {
		t.Errorf("%s, want %s", items[0].Name, want)
	}
	labels, err := j.wavLabels(&items[0])
	if err != nil {
		t.Fatal(err)
	}
	if labels.Instrument != nil || !strings.Contains(labels.Broadcast.Description,
		"keys C#1 (25) to D1 (26) and E1 (28) to F1 (29) and ") {
		t.Errorf("inst %+v, described as %s", labels.Instrument, labels.Broadcast.Description)
	}
}

// A rank whose name some file system refuses gives an error that says what to do.
func TestRefusedRanks(t *testing.T) {
	for rank, says := range map[string]string{
		"C/G":                    `found '/'`,
		"a:b":                    `found ':'`,
		"tab\t":                  `found '\t'`,
		"no.":                    `found "." at its end`,
		strings.Repeat("x", 230): "expected at most 240",
		"f#":                     "know no capitals",
		"e\u0301":                "one way to write an accent",
	} {
		j := yard(t, func(j *Job) { j.Map.Zones[0].Rank, j.Map.Zones[1].Rank = rank, rank })
		if twin := map[string]string{"f#": "F#", "e\u0301": "é"}[rank]; twin != "" { // the same root and keys
			one, other := j.Map.Zones[2], j.Map.Zones[2]
			one.Rank, other.Rank = rank, twin
			j.Map.Zones = []mapping.Zone{one, other}
		}
		_, err := j.items()
		if err == nil || !strings.Contains(err.Error(), says) || !strings.Contains(err.Error(), "name in map.toml") {
			t.Errorf("rank %q: %v", rank, err)
		}
	}
}
