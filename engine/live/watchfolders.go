// Watching folders: what has changed in them is told once it has come to rest.

package live

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"time"

	"github.com/fsnotify/fsnotify"
)

// WatchedFolders tells of changes until Close.
type WatchedFolders struct {
	trees   []string
	rest    time.Duration
	matters func(fsnotify.Event) bool
	watcher *fsnotify.Watcher
	rested  chan struct{}

	guard   sync.Mutex
	folders map[string]fs.FileInfo // as they were when they were last watched; nil for one that has gone
}

// doubted stands for a folder that was said to have gone. That may be late news of the one before it, which was taken
// away and made again: the next look finds out, and tells.
var doubted fs.FileInfo = struct{ fs.FileInfo }{}

// renewTime is between two looks whether a watched folder is still the one at its path.
const renewTime = time.Second

// WatchFolders watches a folder, and trees with all the folders in them, those that are made later included. Whenever
// something that matters has changed and nothing more has for the time of rest, Rested tells: programs save in
// several steps. Where more changes than could be kept, that counts as one that matters, and so does a folder that
// goes or is made again, which is then watched as the one before.
func WatchFolders(folder string, trees []string, rest time.Duration,
	matters func(fsnotify.Event) bool) (*WatchedFolders, error) {
	watcher, err := fsnotify.NewWatcher()
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be watched: %w", folder, err)
	}
	w := &WatchedFolders{trees: trees, rest: rest, matters: matters, watcher: watcher, rested: make(chan struct{}),
		folders: map[string]fs.FileInfo{}}
	err = w.Add(folder)
	if err == nil {
		err = w.addTrees()
	}
	if err != nil {
		watcher.Close()
		return nil, err
	}
	go w.run()
	return w, nil
}

// Add watches one more folder, without those in it. One that is watched already stays so. Any goroutine.
func (w *WatchedFolders) Add(folder string) error {
	w.guard.Lock()
	defer w.guard.Unlock()
	if known := w.folders[folder]; known != nil && known != doubted {
		return nil
	}
	return w.watch(folder)
}

// watch begins to watch what is now at a path.
func (w *WatchedFolders) watch(folder string) error {
	info, err := os.Stat(folder) // before: what takes its place meanwhile is found at the next look
	if err == nil {
		w.watcher.Remove(folder) // fails where what was watched has gone, as it should
		err = w.watcher.Add(folder)
	}
	if err != nil {
		return fmt.Errorf("%s: cannot be watched: %w", folder, err)
	}
	w.folders[folder] = info
	return nil
}

// forget takes note that a folder may have gone: it is watched anew if it is there. It says whether the name is that
// of a folder that was watched.
func (w *WatchedFolders) forget(name string) bool {
	w.guard.Lock()
	defer w.guard.Unlock()
	_, watched := w.folders[name]
	if watched {
		w.folders[name] = doubted
	}
	return watched
}

// renew watches again what was taken away and made again. It says whether anything has gone or is back.
func (w *WatchedFolders) renew() (changed bool) {
	w.guard.Lock()
	defer w.guard.Unlock()
	for folder, before := range w.folders {
		now, err := os.Stat(folder)
		switch {
		case err != nil:
			changed = changed || before != nil
			w.folders[folder] = nil // and at every look it is tried again
		case before == nil || !os.SameFile(before, now):
			changed = w.watch(folder) == nil || changed
		}
	}
	return changed
}

// addTrees watches what the trees hold now. A folder that cannot be read is left out, and so is a tree that is not
// there.
func (w *WatchedFolders) addTrees() error {
	for _, tree := range w.trees {
		err := filepath.WalkDir(tree, func(path string, entry fs.DirEntry, err error) error {
			if err != nil || !entry.IsDir() {
				return nil
			}
			if err := w.watcher.Add(path); err != nil {
				return fmt.Errorf("%s: cannot be watched: %w", path, err)
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// Rested is where changes are told. It is closed after Close.
func (w *WatchedFolders) Rested() <-chan struct{} { return w.rested }

// Close ends the watching. Whoever takes from Rested goes on until it is closed.
func (w *WatchedFolders) Close() error { return w.watcher.Close() }

func (w *WatchedFolders) run() {
	defer close(w.rested)
	rested := time.NewTimer(time.Hour)
	rested.Stop()
	look := time.NewTicker(renewTime)
	defer look.Stop()
	var tell chan<- struct{} // nil while there is nothing to tell
	for {
		select {
		case event, open := <-w.watcher.Events:
			if !open {
				return
			}
			if (event.Has(fsnotify.Remove) || event.Has(fsnotify.Rename)) && w.forget(event.Name) {
				rested.Reset(w.rest)
			}
			if event.Has(fsnotify.Create) {
				w.addTrees() // what cannot be watched is read when something else changes
			}
			if w.matters(event) {
				rested.Reset(w.rest)
			}
		case _, open := <-w.watcher.Errors: // more changes than could be kept
			if !open {
				return
			}
			rested.Reset(w.rest)
		case <-look.C:
			if w.renew() {
				w.addTrees()
				rested.Reset(w.rest)
			}
		case <-rested.C:
			tell = w.rested
		case tell <- struct{}{}:
			tell = nil
		}
	}
}
