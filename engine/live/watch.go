// Watching a map and its beds: what changes is loaded while notes sound.

package live

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"sync/atomic"
	"time"

	"github.com/fsnotify/fsnotify"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

const (
	mapRest   = 100 * time.Millisecond // how long a map must stay unchanged before it is read
	sweepTime = time.Second            // between two looks for maps that no longer sound
	buildTime = 200 * time.Millisecond // between two looks whether a build has ended
)

// Loaded is what became of a change.
type Loaded struct {
	Path string   // of the map
	Beds []string // that were loaded anew under the map from before; none where the map itself has changed
	Err  error    // what is wrong, a *GoneError where the map has gone; the player keeps what it has

	Before, Now *mapping.Map // nil where Err is not
	// zones whose nudges are not tried any more: somebody has changed them in the file
	Dropped []mapping.ZoneName
}

// GoneError is a map that is not there any more.
type GoneError struct{ Path string }

func (e *GoneError) Error() string {
	return e.Path + " has gone; it is loaded again when it is back"
}

// watching is one Watch.
type watching struct {
	path    string
	engine  *engine.Engine
	report  func(Loaded)
	folders *WatchedFolders

	bedPaths atomic.Pointer[map[string]bool] // of the map on disk
	touched  atomic.Bool                     // the map was, since it was last read
	gone     bool
	failed   bool // the map on disk could not be loaded
	beds     bool // some bed may have changed
}

// Watch reloads the map at path into e whenever the file or one of its beds changes, until the returned function is
// called. report is told of each reload and of what is wrong. While a command works on the project, beds wait until
// it is done: they go together. A folder that is taken away and made again is watched again.
func Watch(path string, e *engine.Engine, report func(Loaded)) (stop func(), err error) {
	w := &watching{path: path, engine: e, report: report}
	// The folders rather than the files: most programs save by renaming a new file over the old one.
	if w.folders, err = WatchFolders(filepath.Dir(path), nil, mapRest, w.matters); err != nil {
		return nil, err
	}
	w.watchBeds(e.MapAt(path))
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		w.run()
	}()
	return func() {
		w.folders.Close()
		<-ended
	}, nil
}

// matters says whether an event is about the map or a bed.
func (w *watching) matters(event fsnotify.Event) bool {
	name := filepath.Clean(event.Name)
	switch beds := w.bedPaths.Load(); {
	case event.Op == fsnotify.Chmod:
		return false
	case name == filepath.Clean(w.path):
		w.touched.Store(true)
		return true
	default:
		return beds != nil && (*beds)[name]
	}
}

// watchBeds watches the beds of a map.
func (w *watching) watchBeds(m *mapping.Map) {
	beds := map[string]bool{}
	for _, bed := range m.BedPaths() {
		path := filepath.Join(filepath.Dir(w.path), filepath.FromSlash(bed))
		beds[path] = true
		w.folders.Add(filepath.Dir(path)) // one that cannot be watched cannot be read either, which the player says
	}
	w.bedPaths.Store(&beds)
}

// run reloads what has changed, until the folders are closed.
func (w *watching) run() {
	sweep := time.NewTicker(sweepTime)
	defer sweep.Stop()
	build := time.NewTicker(buildTime)
	defer build.Stop()
	for {
		select {
		case _, open := <-w.folders.Rested():
			if !open {
				return
			}
			w.beds = true
			w.look(true)
		case <-build.C:
			if w.beds {
				w.look(false)
			}
		case <-sweep.C:
			if w.gone {
				w.look(false)
			}
			if err := w.engine.CloseRetired(); err != nil {
				w.report(Loaded{Path: w.path, Err: err})
			}
		}
	}
}

// look reloads the map if it was touched, or else if a bed is another one. A map that could not be loaded is tried
// again when a change has been told.
func (w *watching) look(told bool) {
	_, err := os.Stat(w.path)
	if was := w.gone; err != nil {
		w.gone = errors.Is(err, fs.ErrNotExist)
		w.beds = false
		if w.gone && !was {
			w.report(Loaded{Path: w.path, Err: &GoneError{w.path}})
		}
		return
	}
	touched := w.touched.Swap(false) || w.gone || told && w.failed
	w.gone = false
	if touched {
		w.load(nil)
		return
	}
	if project.IsLocked(filepath.Dir(w.path)) {
		return
	}
	w.beds = false
	if changed := w.engine.ChangedBeds(w.path); len(changed) > 0 {
		w.load(changed)
	}
}

// load reloads the map, for the sake of some beds or for its own.
func (w *watching) load(beds []string) {
	if beds == nil && w.engine.IsKept(w.path) {
		return // nudges were written there that play already
	}
	before, tried := w.engine.MapAt(w.path), w.engine.NudgesAt(w.path)
	err := w.engine.Reload(w.path)
	if _, absent := os.Stat(w.path); err != nil && errors.Is(absent, fs.ErrNotExist) { // it went just now
		w.gone, w.beds = true, false
		w.report(Loaded{Path: w.path, Err: &GoneError{w.path}})
		return
	}
	w.failed = err != nil
	if m, wrong := mapping.Load(w.path); wrong == nil { // else the beds are those from before
		w.watchBeds(m)
	}
	loaded := Loaded{Path: w.path, Beds: beds, Err: err}
	if err == nil {
		loaded.Before, loaded.Now = before, w.engine.MapAt(w.path)
		still := w.engine.NudgesAt(w.path)
		for zone := range tried {
			if _, found := still[zone]; !found {
				loaded.Dropped = append(loaded.Dropped, zone)
			}
		}
	}
	w.report(loaded)
}
