// play --rebuild: the beds are built anew whenever what they are made of changes.

package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"github.com/fsnotify/fsnotify"

	"lapstrake/engine/live"
	"lapstrake/mapping/project"
)

// rebuilder builds a project's beds anew whenever its takes, sheet or settings change, in a process of its own, so that
// the player's memory stays small. The build writes the map last, which the player then loads.
type rebuilder struct {
	program string // that is told to build
	dir     string
	say     func(string)
	folders *live.WatchedFolders
	ended   chan struct{}
	running *exec.Cmd // the build under way
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
			inUse := errors.Is(err, errInUse)
			if err != nil && (!inUse || later == nil) { // that it waits is said once
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

// matters says whether a change is one of what is built from.
func (r *rebuilder) matters(event fsnotify.Event) bool {
	if event.Op == fsnotify.Chmod || strings.HasPrefix(filepath.Base(event.Name), ".") {
		return false
	}
	if filepath.Dir(event.Name) != filepath.Clean(r.dir) {
		return true // in takes/
	}
	name := filepath.Base(event.Name)
	return name == project.SheetFile || name == project.ContributorsFile || name == project.SettingsFile
}

// build starts a build, which tells built when it has ended.
func (r *rebuilder) build(built chan<- error) {
	var said bytes.Buffer
	command := exec.Command(r.program, "build", r.dir, "--json")
	command.Stderr = &said
	if err := command.Start(); err != nil {
		built <- fmt.Errorf("building: %w", err)
		return
	}
	lowerPriority(command.Process.Pid)
	r.running = command
	go func() {
		err := command.Wait()
		switch text := errorsIn(said.String()); {
		case err == nil:
		case strings.Contains(text, project.InUse):
			err = fmt.Errorf("%w: %s", errInUse, text)
		default:
			err = fmt.Errorf("not rebuilt: %s", text)
		}
		built <- err
	}()
}

// errorsIn keeps of what a command said what went wrong.
func errorsIn(said string) string {
	var found []string
	for line := range strings.Lines(said) {
		if text, isError := strings.CutPrefix(line, "lapstrake: "); isError {
			found = append(found, strings.TrimSpace(text))
		}
	}
	return strings.Join(found, "\n")
}
