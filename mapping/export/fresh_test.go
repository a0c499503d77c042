// Whether a map is stale is told by what its beds hold, not by the times of files.

package export

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lapstrake/mapping/export/testyard"
	"lapstrake/mapping/project"
)

// recorded writes the record of a build of the files that lie in a project's folder of beds.
func recorded(t *testing.T, dir string, unfinished bool) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, project.BedsFolder, "*.wav"))
	if err != nil {
		t.Fatal(err)
	}
	built := map[string]any{}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		sum := sha256.Sum256(data)
		built[filepath.Base(file)] = map[string]any{"size_bytes": len(data), "sha256": hex.EncodeToString(sum[:])}
	}
	text, err := json.Marshal(map[string]any{"beds": built, "unfinished": unfinished})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, project.BedsFolder, project.BuiltFile), text, 0o666); err != nil {
		t.Fatal(err)
	}
}

func TestStaleMaps(t *testing.T) {
	m := testyard.Map()
	dir := folders(t, append(m.BedPaths(), "map.toml")...)
	path := filepath.Join(dir, "map.toml")
	put := func(bed, text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, filepath.FromSlash(bed)), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	for _, bed := range m.BedPaths() {
		put(bed, "the sound of "+bed)
	}
	if err := CheckFresh(path, m); err != nil {
		t.Errorf("beds that no build made: %v", err)
	}
	recorded(t, dir, false)
	past := time.Now().Add(-time.Hour)
	if err := os.Chtimes(path, past, past); err != nil {
		t.Fatal(err)
	}
	if err := CheckFresh(path, m); err != nil {
		t.Errorf("the same beds, newer than the map: %v", err)
	}
	for _, bed := range m.BedPaths()[:4] {
		put(bed, "THE SOUND OF "+bed)
		if err := os.Chtimes(filepath.Join(dir, filepath.FromSlash(bed)), past, past); err != nil {
			t.Fatal(err)
		}
	}
	err := CheckFresh(path, m)
	if err == nil || !strings.HasPrefix(err.Error(), path) {
		t.Fatalf("four other beds, as old as the map: %v", err)
	}
	for _, want := range []string{"and 1 more changed since the last build", "lapstrake build " + dir} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("four other beds: %v, want %q", err, want)
		}
	}
	for _, bed := range m.BedPaths()[:4] {
		if err := os.Remove(filepath.Join(dir, filepath.FromSlash(bed))); err != nil {
			t.Fatal(err)
		}
	}
	if err := CheckFresh(path, m); err != nil {
		t.Errorf("a missing bed is not stale: %v", err)
	}
	recorded(t, dir, true)
	if err := CheckFresh(path, m); err == nil || !strings.Contains(err.Error(), "broken off") {
		t.Errorf("an unfinished build: %v", err)
	}
}
