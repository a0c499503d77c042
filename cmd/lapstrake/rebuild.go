// play --rebuild: the beds are built anew whenever what they are made of changes.

package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/fsnotify/fsnotify"

	"lapstrake/engine/live"
	"lapstrake/mapping/project"
)

// rebuilder builds a project's beds anew whenever its takes, sheet or settings change, in a process of its own, so
// that the player's memory stays small. The build writes the map last, which the player then loads.
type rebuilder struct {
	program string // that is told to build
	dir     string
	say     func(string)
	folders *live.WatchedFolders
	ended   chan struct{}
	running *exec.Cmd // the build under way
	words   *buildWords
	failed  bool // so the last build ended

	guard   sync.Mutex
	changed []string // files since the last build began, by their names in the project
	percent int      // of the build under way
	builds  bool
}

// takesRest is how long nothing may change before a build begins: recordings are copied and sheets saved in steps.
const takesRest = 500 * time.Millisecond

// inUseRest is between two tries to build while another command works on the project.
const inUseRest = 500 * time.Millisecond

var errInUse = errors.New("not rebuilt yet")

// startRebuilder watches a project until Close.
func startRebuilder(dir string, say func(string)) (*rebuilder, error) {
	program, err := os.Executable()
	if err != nil {
		return nil, err
	}
	return startRebuilderBy(program, dir, say)
}

// startRebuilderBy builds by a program.
func startRebuilderBy(program, dir string, say func(string)) (*rebuilder, error) {
	r := &rebuilder{program: program, dir: dir, say: say, ended: make(chan struct{})}
	var err error
	r.folders, err = live.WatchFolders(dir, []string{filepath.Join(dir, project.TakesFolder)}, takesRest, r.matters)
	if err != nil {
		return nil, err
	}
	go r.run()
	return r, nil
}

// Close ends the watching and a build that runs.
func (r *rebuilder) Close() error {
	err := r.folders.Close()
	<-r.ended
	return err
}

// Percent says whether a build is under way, and how far it is. Any goroutine.
func (r *rebuilder) Percent() (percent int, builds bool) {
	r.guard.Lock()
	defer r.guard.Unlock()
	return r.percent, r.builds
}

func (r *rebuilder) setPercent(percent int, builds bool) {
	r.guard.Lock()
	defer r.guard.Unlock()
	r.percent, r.builds = percent, builds
}

func (r *rebuilder) run() {
	defer close(r.ended)
	built := make(chan error, 1)
	again := false
	var later <-chan time.Time // nil unless the last build found another command at work
	for {
		select {
		case <-later:
			r.build(built)
		case _, open := <-r.folders.Rested():
			if !open {
				if r.running != nil {
					r.running.Process.Kill()
					<-built
				}
				return
			}
			if again = r.running != nil; !again && later == nil {
				r.build(built)
			}
		case err := <-built:
			r.running = nil
			r.setPercent(0, false)
			inUse := errors.Is(err, errInUse)
			if !inUse {
				r.tellEnd(err)
			} else if later == nil { // that it waits is said once
				r.say(err.Error())
			}
			if later = nil; inUse {
				later, again = time.After(inUseRest), false
			}
			if again {
				again = false
				r.build(built)
			}
		}
	}
}

// matters says whether a change is one of what is built from, and takes note of it.
func (r *rebuilder) matters(event fsnotify.Event) bool {
	name := filepath.Base(event.Name)
	if event.Op == fsnotify.Chmod || strings.HasPrefix(name, ".") {
		return false
	}
	built := []string{project.SheetFile, project.ContributorsFile, project.SettingsFile}
	if filepath.Dir(event.Name) == filepath.Clean(r.dir) && !slices.Contains(built, name) {
		return false
	}
	if inside, err := filepath.Rel(r.dir, event.Name); err == nil { // else in takes/, by its name alone
		name = filepath.ToSlash(inside)
	}
	r.guard.Lock()
	defer r.guard.Unlock()
	if !slices.Contains(r.changed, name) {
		r.changed = append(r.changed, name)
	}
	return true
}

// takeChanged returns what has changed since it was last asked.
func (r *rebuilder) takeChanged() []string {
	r.guard.Lock()
	defer r.guard.Unlock()
	changed := r.changed
	r.changed = nil
	return changed
}

// build starts a build, which tells built when it has ended.
func (r *rebuilder) build(built chan<- error) {
	if changed := r.takeChanged(); len(changed) > 0 { // none when it tries once more
		r.say("rebuilding: " + named(changed) + " changed")
	}
	r.words = &buildWords{progress: func(percent int) { r.setPercent(percent, true) }}
	command := exec.Command(r.program, "build", r.dir, "--json", "--progress")
	command.Stdout, command.Stderr = &r.words.result, r.words
	if err := live.Calmly(command.Start); err != nil {
		built <- fmt.Errorf("not rebuilt: %w", err)
		return
	}
	lowerPriority(command.Process.Pid)
	r.running = command
	r.setPercent(0, true)
	go func() {
		err := command.Wait()
		switch text := r.words.errors(); {
		case err == nil:
		case strings.Contains(text, project.InUse):
			err = fmt.Errorf("%w: %s", errInUse, text)
		default:
			err = fmt.Errorf("not rebuilt: %s", text)
		}
		built <- err
	}()
}

// tellEnd says what a build has made, or what stood in its way; after one that failed, that all is well again.
func (r *rebuilder) tellEnd(err error) {
	switch {
	case err != nil:
		r.say(err.Error())
	case r.failed:
		r.say("all is well again; " + r.words.made())
	default:
		r.say(r.words.made())
	}
	r.failed = err != nil
}
