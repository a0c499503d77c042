// Checks that settings load, save and explain themselves.

package project

import (
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lapstrake/mapping"
)

func TestNoFileGivesTheDefaults(t *testing.T) {
	s, err := Load(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	if want := Default(); !reflect.DeepEqual(s, want) {
		t.Errorf("loaded %+v, the defaults are %+v", s, want)
	}
	if err := s.Check(); err != nil {
		t.Errorf("the defaults are refused: %v", err)
	}
}

func TestWindowsEditorsFileLoads(t *testing.T) {
	s, err := Parse([]byte("\ufeff[beds]\r\nlength_sec = 20\r\n"), SettingsFile)
	if err != nil {
		t.Fatal(err)
	}
	if s.Beds.LengthSec != 20 || s.Beds.OverlapSec != Default().Beds.OverlapSec {
		t.Errorf("loaded %+v, want length 20 and the other defaults", s.Beds)
	}
}

// drawSettings draws settings that a builder could write.
func drawSettings(t *rapid.T) Settings {
	s := Default()
	eachSetting(&s, func(field string, value reflect.Value) {
		rule, _ := ruleOf(field)
		switch {
		case strings.HasPrefix(field, "grid.") || !rapid.Bool().Draw(t, field+" changed"):
		case value.CanInt() && rule.isNumber():
			value.SetInt(int64(rapid.IntRange(int(rule.low), int(rule.high)).Draw(t, field)))
		case value.CanFloat():
			value.SetFloat(rapid.Float64Range(rule.low, rule.high).Draw(t, field))
		case len(rule.words) > 0:
			value.SetString(rapid.SampledFrom(rule.words).Draw(t, field))
		case value.Kind() == reflect.Bool:
			value.SetBool(rapid.Bool().Draw(t, field))
		}
	})
	s.Project.StrandTitles = rapid.SampledFrom([][]string{{}, {"long", "short \"and\"\nstruck ♯"}}).Draw(t, "titles")
	s.Beds.MostTakes = max(s.Beds.MostTakes, s.Beds.LeastTakes)
	s.Beds.OverlapSec = min(s.Beds.OverlapSec, s.Beds.LengthSec/2)
	s.Beds.SoftMoveSemitones = max(s.Beds.SoftMoveSemitones, s.Beds.BrightMoveSemitones)
	s.Grid.Ranks = rapid.IntRange(1, 4).Draw(t, "ranks")
	s.Grid.SpacingSemitones = s.Grid.Ranks * rapid.IntRange(1, 12).Draw(t, "apart")
	s.Grid.RootKey = rapid.IntRange(0, 127).Draw(t, "root key")
	s.Grid.RootAt = rapid.SampledFrom([]mapping.RootAt{mapping.RootTop, mapping.RootMiddle, mapping.RootBottom}).Draw(
		t, "root at")
	s.Grid.StaggerBy = rapid.SampledFrom([]mapping.By{mapping.ByZone, mapping.ByKey, mapping.ByPress}).Draw(t,
		"stagger")
	s.Grid.Starts = rapid.SampledFrom([][]float64{{}, {0}, mapping.DefaultStarts()}).Draw(t, "starts")
	s.Grid.LowestKey = rapid.IntRange(50, 60).Draw(t, "lowest")
	s.Grid.HighestKey = rapid.IntRange(60, 76).Draw(t, "highest")
	return s
}

func TestAnySettingsSaveAndLoad(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		s := drawSettings(t)
		if err := s.Save(dir); err != nil {
			t.Fatal(err)
		}
		again, err := Load(dir)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(s, again) {
			t.Fatalf("saved %+v, loaded %+v", s, again)
		}
	})
}

func TestFileExplainsEverySetting(t *testing.T) {
	s := Default()
	data, err := s.Encode()
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(data), "\n")
	for i, line := range lines {
		if (strings.Contains(line, " = ") || strings.HasPrefix(line, "[")) && !strings.HasPrefix(line, "#") &&
			!strings.HasPrefix(lines[i-1], "# ") {
			t.Errorf("line %d, %s, has no comment above it", i+1, line)
		}
	}
	known := map[string]bool{}
	eachSetting(&s, func(field string, value reflect.Value) {
		known[field] = true
		rule, _ := ruleOf(field)
		if (value.CanInt() || value.CanFloat()) && !rule.isNumber() {
			t.Errorf("%s is a number without a range", field)
		}
	})
	for _, rule := range settingRules {
		if strings.Contains(rule.field, ".") && !known[rule.field] {
			t.Errorf("there is a rule for %s, which is no setting", rule.field)
		}
	}
	if !slices.Contains(lines, "# seconds of each bed; 1 to 600") {
		t.Errorf("no range in the comment of beds.length_sec:\n%s", data)
	}
}

func TestAllProblemsAreToldWithTheirLines(t *testing.T) {
	const file = `[project]
rate_hz = "48k"
middle_c = "C5"
layers = ["soft", "Loud"]

[beds]
length_sec = 0.5
lenght_sec = 12
least_takes = 4.5 # half a take
most_takes = 99
[beds.more]
x = 1

[grid]
starts = [0,
  "half"]
root_at = true
[gird]
`
	_, err := Parse([]byte(file), "boatyard/lapstrake.toml")
	if err == nil {
		t.Fatal("accepted")
	}
	for _, want := range []string{
		`boatyard/lapstrake.toml:2: project.rate_hz: found "48k": expected a whole number, 8000 to 384000`,
		`boatyard/lapstrake.toml:3: project.middle_c: "C5": expected C4 or C3`,
		`boatyard/lapstrake.toml:4: project.layers[1]: "Loud": expected small letters and digits, ` +
			`beginning with a letter`,
		`boatyard/lapstrake.toml:7: beds.length_sec: 0.5: expected 1 to 600`,
		`boatyard/lapstrake.toml:8: beds.lenght_sec: no such setting: remove it, or is beds.length_sec meant?`,
		`boatyard/lapstrake.toml:9: beds.least_takes: found 4.5: expected a whole number, 1 to 32`,
		`boatyard/lapstrake.toml:10: beds.most_takes: 99: expected 1 to 32`,
		`boatyard/lapstrake.toml:15: grid.starts: found [0,: expected a list of numbers, such as [0, 0.5]`,
		`boatyard/lapstrake.toml:17: grid.root_at: found true: expected a text in quotes, top, middle or bottom`,
		`boatyard/lapstrake.toml:18: gird: no such setting: remove it, or is grid meant?`,
	} {
		if !strings.Contains(err.Error()+"\n", want+"\n") {
			t.Errorf("not told: %s", want)
		}
	}
	if n := strings.Count(err.Error(), "\n") + 1; n != 11 { // and [beds.more]
		t.Errorf("%d problems told, want 11:\n%v", n, err)
	}
}

func TestBadSettingsAreRefusedWhereTheyStand(t *testing.T) {
	for _, c := range []struct{ name, file, want string }{
		{"syntax", "[beds]\nlength_sec 15\n", "x:2:"},
		{"twice", "[beds]\nlength_sec = 15\nlength_sec = 16\n", "x:3:"},
		{"a text for a section", "beds = 3\n", "x:1: beds: found 3: expected a section, [beds]"},
		{"a list for a section", "[[beds]]\nlength_sec = 15\n", "x:1:"},
		{"no number", "[beds]\nlength_sec = nan\n", "x:2: beds.length_sec: NaN: expected 1 to 600"},
		{"dotted", "beds.length_sec = 700\n", "x:1: beds.length_sec: 700: expected 1 to 600"},
		{"inline", "beds = { length_sec = 700 }\n", "x:1: beds.length_sec: 700: expected 1 to 600"},
		{"overlap too long", "[beds]\nlength_sec = 2\noverlap_sec = 1.5\n",
			"x:3: beds.overlap_sec: 1.5: expected at most half of beds.length_sec, 1"},
		{"too few at most", "[beds]\nmost_takes = 3\n",
			"x:1: beds.least_takes: 4: expected no more than beds.most_takes, 3"},
		{"ranks", "[grid]\nranks = 5\n", "x:1: grid.spacing_semitones: 12 does not divide into 5 ranks: expected a " +
			"multiple of the ranks, such as 15"},
		{"keys", "[grid]\nlowest_key = 80\nhighest_key = 70\n", "x:2: grid.lowest_key: 80 is above highest_key, 70"},
		{"silent keys", "[grid]\nranks = 1\nhighest_key = 127\n", `x:1: grid.root_at: "top" leaves key 121`},
		{"start", "[grid]\nstarts = [0, 1]\n", "x:2: grid.starts: 1: expected turns"},
		{"no layers", "[project]\nlayers = []\n", "x:2: project.layers: 0 names: expected 1 to 16"},
		{"layers twice", "[project]\nlayers = [\"a\", \"a\"]\n", `x:2: project.layers[1]: "a" stands twice`},
		{"titles", "[project]\nstrand_titles = [\"one\"]\n",
			"x:2: project.strand_titles: 1 titles: expected one for each of the 2 strands, or none"},
		{"moves", "[beds]\nsoft_move_semitones = 2\n",
			"x:1: beds.bright_move_semitones: 3: expected no more than beds.soft_move_semitones, 2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Parse([]byte(c.file), "x")
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v\nwant %s", err, c.want)
			}
		})
	}
}

func TestASettingsFileThatIsNone(t *testing.T) {
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, SettingsFile), 0o777); err != nil {
		t.Fatal(err)
	}
	if _, err := Load(dir); err == nil || !strings.Contains(err.Error(), "expected a text file") {
		t.Errorf("a folder for a file gave %v", err)
	}
}

func TestBadSettingsAreNotWritten(t *testing.T) {
	dir := t.TempDir()
	s := Default()
	s.Beds.LengthSec = math.Inf(1)
	if err := s.Save(dir); err == nil {
		t.Error("a bed without end is written")
	}
	if entries, _ := os.ReadDir(dir); len(entries) > 0 {
		t.Errorf("%s is left behind", entries[0].Name())
	}
}

func FuzzParseSettings(f *testing.F) {
	s := Default()
	data, err := s.Encode()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Add([]byte("beds.length_sec = \"\"\"\n\n\"\"\"\n[grid]\nranks = [\n[]]"))
	f.Add([]byte("[beds]\r\n\"length_sec\" = 'x'"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Parse(data, "x")
		if err != nil {
			return
		}
		again, err := s.Encode()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Parse(again, "x"); err != nil {
			t.Fatalf("what was accepted is refused when written:\n%s\n%v", again, err)
		}
	})
}

// The default grid is that of the map command: sixteen zones, every key of 88 sounds exactly two.
func TestGridGivesTheBedsThatTheMapNeeds(t *testing.T) {
	s := Default()
	if roots := s.Grid.Roots(); len(roots) != 16 || roots[0] != 24 || roots[15] != 114 {
		t.Errorf("roots %v, want 24, 30 … 114", roots)
	}
	if n := len(s.Slots()); n != 64 {
		t.Errorf("%d beds, want 64", n)
	}
	rapid.Check(t, func(t *rapid.T) {
		s := drawSettings(t)
		s.Tuning.ZonesBy = mapping.ZonesByKey // a key whose pitch lies beyond the grid has none
		var found []mapping.Bed
		for _, slot := range s.Slots() {
			found = append(found, BedAt(slot))
		}
		m, unused, err := s.Map(found)
		if err != nil {
			t.Fatal(err)
		}
		if len(unused) > 0 {
			t.Fatalf("roots %v are on no rank of the map", unused)
		}
		if err := m.Check(); err != nil {
			t.Fatal(err)
		}
		for key := s.Grid.LowestKey; key <= s.Grid.HighestKey; key++ {
			if n := len(m.ZonesAt(key)); n != s.Grid.Ranks {
				t.Fatalf("key %d sounds %d zones of %d ranks", key, n, s.Grid.Ranks)
			}
		}
		if len(m.Zones) != len(s.Grid.Roots()) {
			t.Fatalf("%d zones for %d roots", len(m.Zones), len(s.Grid.Roots()))
		}
	})
}

func TestLayersLieApart(t *testing.T) {
	s := Default()
	s.Project.Layers, s.Beds.SoftBelowLoudDB = []string{"p", "mf", "f"}, 12
	for layer, want := range map[string]float64{"p": 12, "mf": 6, "f": 0} {
		if got := s.LayerBelowLoudDB(layer); got != want {
			t.Errorf("layer %s lies %v dB below the loudest, want %v", layer, got, want)
		}
	}
	s.Project.StrandTitles = []string{"long", ""}
	if a, b := s.StrandTitle("a"), s.StrandTitle("b"); a != "long" || b != "b" {
		t.Errorf("strands are called %q and %q, want long and b", a, b)
	}
}
