// What is told of changes in folders, and when.

package live

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/fsnotify/fsnotify"
)

// A file that changes in steps is told of once; one that does not matter is not; a folder that is made later is
// watched too.
func TestWatchFoldersTellsOnceThingsRest(t *testing.T) {
	folder := t.TempDir()
	tree := filepath.Join(folder, "takes")
	w, err := WatchFolders(folder, []string{tree}, 50*time.Millisecond, func(event fsnotify.Event) bool {
		return filepath.Ext(event.Name) == ".wav"
	})
	if err != nil {
		t.Fatal(err)
	}
	write := func(name string) {
		t.Helper()
		if err := os.WriteFile(name, []byte(name), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	told := func(what string) {
		t.Helper()
		select {
		case <-w.Rested():
		case <-time.After(10 * time.Second):
			t.Fatalf("%s: nothing was told", what)
		}
	}
	write(filepath.Join(folder, "notes.txt"))
	for range 20 {
		write(filepath.Join(folder, "bell.wav"))
	}
	told("twenty writes")
	if err := os.MkdirAll(filepath.Join(tree, "bells"), 0o777); err != nil {
		t.Fatal(err)
	}
	// The folder's own event comes first: a file written until then may be missed, as any program must expect.
	for deadline := time.Now().Add(10 * time.Second); ; {
		write(filepath.Join(tree, "bells", "gong.wav"))
		select {
		case <-w.Rested():
		case <-time.After(100 * time.Millisecond):
			if time.Now().Before(deadline) {
				continue
			}
			t.Fatal("a folder that was made later is not watched")
		}
		break
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	for range w.Rested() { // ends once it is closed
	}
}

func TestWatchFoldersRefusesWhatIsNotThere(t *testing.T) {
	if _, err := WatchFolders(filepath.Join(t.TempDir(), "nowhere"), nil, time.Second, nil); err == nil {
		t.Error("a folder that is not there is watched")
	}
}
