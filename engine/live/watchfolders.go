// Watching folders: what has changed in them is told once it has come to rest.

package live

import (
	"fmt"
	"io/fs"
	"path/filepath"
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
}

// WatchFolders watches a folder, and trees with all the folders in them, those that are made later included. Whenever
// something that matters has changed and nothing more has for the time of rest, Rested tells: programs save in
// several steps. Where more changes than could be kept, that counts as one that matters.
func WatchFolders(folder string, trees []string, rest time.Duration,
	matters func(fsnotify.Event) bool) (*WatchedFolders, error) {
	watcher, err := fsnotify.NewWatcher()
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be watched: %w", folder, err)
	}
	if err := watcher.Add(folder); err != nil {
		watcher.Close()
		return nil, fmt.Errorf("%s: cannot be watched: %w", folder, err)
	}
	w := &WatchedFolders{trees, rest, matters, watcher, make(chan struct{})}
	if err := w.addTrees(); err != nil {
		watcher.Close()
		return nil, err
	}
	go w.run()
	return w, nil
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
	var tell chan<- struct{} // nil while there is nothing to tell
	for {
		select {
		case event, open := <-w.watcher.Events:
			if !open {
				return
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
		case <-rested.C:
			tell = w.rested
		case tell <- struct{}{}:
			tell = nil
		}
	}
}
