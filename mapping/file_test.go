// Checks that a map saves and loads unharmed, and that errors name their place.

package mapping

import (
	"bytes"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestAnyMapSavesAndLoads(t *testing.T) {
	path := filepath.Join(t.TempDir(), FileName)
	rapid.Check(t, func(t *rapid.T) {
		m := drawMap(t)
		if err := m.Save(path); err != nil {
			t.Fatal(err)
		}
		again, err := Load(path)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(m, again) {
			t.Fatalf("saved %+v, loaded %+v", m, again)
		}
	})
}

func TestDefaultGridSavesAndLoads(t *testing.T) {
	m := defaultGridMap(t)
	path := filepath.Join(t.TempDir(), FileName)
	if err := m.Save(path); err != nil {
		t.Fatal(err)
	}
	again, err := Load(path)
	if err != nil {
		t.Fatal(err)
	}
	m.Stagger.Starts = []float64{} // written as an empty list
	if !reflect.DeepEqual(m, again) {
		t.Errorf("saved %+v, loaded %+v", m, again)
	}
}

func TestEditedByHand(t *testing.T) {
	path := filepath.Join(t.TempDir(), FileName)
	edited := func() bool {
		t.Helper()
		edited, err := EditedByHand(path)
		if err != nil {
			t.Fatal(err)
		}
		return edited
	}
	if edited() {
		t.Error("a map that is not there counts as edited")
	}
	m := defaultGridMap(t)
	if err := m.Save(path); err != nil {
		t.Fatal(err)
	}
	if edited() {
		t.Error("a map just saved counts as edited")
	}
	saved, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string][]byte{
		"another number":       bytes.Replace(saved, []byte("overlap_sec = 1.0"), []byte("overlap_sec = 1.5"), 1),
		"a comment at the end": append(bytes.Clone(saved), "# mine\n"...),
		"no first line":        saved[bytes.IndexByte(saved, '\n')+1:],
		"nothing left":         {},
		"other line ends":      bytes.ReplaceAll(saved, []byte("\n"), []byte("\r\n")),
	} {
		if bytes.Equal(change, saved) {
			t.Fatalf("%s: changes nothing", name)
		}
		if err := os.WriteFile(path, change, 0o666); err != nil {
			t.Fatal(err)
		}
		if !edited() {
			t.Errorf("%s: not seen as an edit", name)
		}
	}
	if err := m.Save(path); err != nil {
		t.Fatal(err)
	}
	if edited() {
		t.Error("saved again over an edit, still counts as edited")
	}
}

func TestSaveRefusesAWrongMapAndKeepsTheOld(t *testing.T) {
	path := filepath.Join(t.TempDir(), FileName)
	m := defaultGridMap(t)
	if err := m.Save(path); err != nil {
		t.Fatal(err)
	}
	before, _ := os.ReadFile(path)
	m.Zones[3].Start = 1
	if err := m.Save(path); err == nil || !strings.Contains(err.Error(), "zones[3].start") {
		t.Errorf("%v, want an error at zones[3].start", err)
	}
	if after, _ := os.ReadFile(path); !bytes.Equal(before, after) {
		t.Error("the old map was touched")
	}
}

func TestUnknownFieldsAreRefusedWithTheirPlace(t *testing.T) {
	text := strings.Replace(handMade, "overlap_sec = 0.5", "overlap_secs = 0.5", 1)
	text = strings.Replace(text, "root = 72", "  rooot = 72", 1)
	_, err := Parse([]byte(text), "map.toml")
	for _, want := range []string{"map.toml:5: overlap_secs: no such field",
		"map.toml:25: zones[1].rooot: no such field", "map.toml:23: zones[1].root: missing"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v\nwant %s", err, want)
		}
	}
}

func TestWrongTypesAndSyntaxAreRefusedWithTheirPlace(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{"overlap_sec = 0.5", `overlap_sec = "half"`, `map.toml:5: overlap_sec: found "half": expected a number`},
		{"root = 72", "root = 72.5", "map.toml:25: zones[1].root: found 72.5: expected a whole number"},
		{"rate_hz = 48000", "rate_hz = = 48000", "map.toml:2:"},
		{"rate_hz = 48000", "rate_hz = 48000\nrate_hz = 44100", "map.toml:3:"},
		{"[dynamics]", "[dynamics", "map.toml:7:"},
	} {
		_, err := Parse([]byte(strings.Replace(handMade, c.old, c.new, 1)), "map.toml")
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v\nwant %s", c.new, err, c.want)
		}
	}
}

func TestLocate(t *testing.T) {
	dir := t.TempDir()
	if _, err := Locate(filepath.Join(dir, "nowhere")); err == nil ||
		!strings.Contains(err.Error(), "no such project") {
		t.Errorf("a missing folder: %v", err)
	}
	if _, err := Locate(dir); err == nil || !strings.Contains(err.Error(), "lapstrake map") {
		t.Errorf("a folder without a map: %v, want the command that makes one", err)
	}
	path := filepath.Join(dir, FileName)
	if err := os.WriteFile(path, []byte(handMade), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, project := range []string{dir, path} {
		if got, err := Locate(project); err != nil || got != path {
			t.Errorf("Locate(%s) = %s, %v; want %s", project, got, err, path)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(handMade))
	f.Add([]byte(""))
	f.Add([]byte("zones = [{rank='x', start=nan, beds={}}]"))
	f.Add([]byte("[[zones]]\n[zones.beds]\nsoft = ['a.wav']\n"))
	f.Add([]byte(strings.Replace(handMade, "start = 0.5", "start = 1.0", 1)))
	f.Add([]byte("version = 99999999999999999999"))
	f.Fuzz(func(t *testing.T, data []byte) {
		m, err := Parse(data, "map.toml")
		if err != nil {
			return
		}
		text, err := m.Encode()
		if err != nil {
			t.Fatal(err)
		}
		again, err := Parse(text, "map.toml")
		if err != nil {
			t.Fatalf("%v\nin what was saved:\n%s", err, text)
		}
		if twice, err := again.Encode(); err != nil || !bytes.Equal(text, twice) {
			t.Fatalf("%v; saved\n%s\nsaved again\n%s", err, text, twice)
		}
	})
}
