// Watching the map: a change of the file is loaded while notes sound.

package live

import (
	"fmt"
	"path/filepath"
	"time"

	"github.com/fsnotify/fsnotify"

	"lapstrake/engine"
)

const (
	// settleTime is how long a file must stay unchanged before it is read: an
	// editor may write it in several steps.
	settleTime = 100 * time.Millisecond
	sweepTime  = time.Second
)

// Watch reloads the map at path into e whenever the file changes, until the
// returned function is called. report is told of each reload, with nil or with what
// is wrong with the new map; the player then keeps the one it has.
func Watch(path string, e *engine.Engine, report func(error)) (stop func(), err error) {
	watcher, err := fsnotify.NewWatcher()
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be watched: %w", path, err)
	}
	// The folder rather than the file: most programs save by renaming a new file over
	// the old one.
	if err := watcher.Add(filepath.Dir(path)); err != nil {
		watcher.Close()
		return nil, fmt.Errorf("%s: cannot be watched: %w", path, err)
	}
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		watch(watcher, path, e, report)
	}()
	return func() {
		watcher.Close()
		<-ended
	}, nil
}

func watch(watcher *fsnotify.Watcher, path string, e *engine.Engine, report func(error)) {
	settled := time.NewTimer(time.Hour)
	settled.Stop()
	sweep := time.NewTicker(sweepTime)
	defer sweep.Stop()
	for {
		select {
		case event, open := <-watcher.Events:
			if !open {
				return
			}
			if filepath.Base(event.Name) == filepath.Base(path) && event.Op&(fsnotify.Create|fsnotify.Write) != 0 {
				settled.Reset(settleTime)
			}
		case err, open := <-watcher.Errors:
			if !open {
				return
			}
			report(fmt.Errorf("%s: changes may go unseen: %w", path, err))
		case <-settled.C:
			report(e.Reload(path))
		case <-sweep.C:
			if err := e.CloseRetired(); err != nil {
				report(err)
			}
		}
	}
}
