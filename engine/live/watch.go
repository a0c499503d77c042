// Watching the map: a change of the file is loaded while notes sound.

package live

import (
	"path/filepath"
	"time"

	"github.com/fsnotify/fsnotify"

	"lapstrake/engine"
)

const (
	mapRest   = 100 * time.Millisecond // how long a map must stay unchanged before it is read
	sweepTime = time.Second            // between two looks for maps that no longer sound
)

// Watch reloads the map at path into e whenever the file changes, until the
// returned function is called. report is told of each reload, with nil or with what
// is wrong with the new map; the player then keeps the one it has.
func Watch(path string, e *engine.Engine, report func(error)) (stop func(), err error) {
	// The folder rather than the file: most programs save by renaming a new file over
	// the old one.
	folder, err := WatchFolders(filepath.Dir(path), nil, mapRest, func(event fsnotify.Event) bool {
		return filepath.Base(event.Name) == filepath.Base(path) && event.Op&(fsnotify.Create|fsnotify.Write) != 0
	})
	if err != nil {
		return nil, err
	}
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		reloadChanged(folder.Rested(), path, e, report)
	}()
	return func() {
		folder.Close()
		<-ended
	}, nil
}

// reloadChanged reloads the map whenever it has changed, until changed is closed.
func reloadChanged(changed <-chan struct{}, path string, e *engine.Engine, report func(error)) {
	sweep := time.NewTicker(sweepTime)
	defer sweep.Stop()
	for {
		select {
		case _, open := <-changed:
			if !open {
				return
			}
			report(e.Reload(path))
		case <-sweep.C:
			if err := e.CloseRetired(); err != nil {
				report(err)
			}
		}
	}
}
