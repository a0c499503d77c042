// States: what the sheet, the settings and the map were before a command changed them, to go back to.

package project

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"time"

	"lapstrake/mapping"
	"lapstrake/mapping/whole"
)

const (
	statesFolder = ".lapstrake-states"
	stateFile    = "state.json"
	mostStates   = 10
)

// kept are the files of a project that a person decides in.
var kept = []string{SettingsFile, SheetFile, mapping.FileName}

// State is what a project's settings, sheet and map once were.
type State struct {
	Number int       `json:"number"` // counts up; the highest is the latest
	Before string    `json:"before"` // the command that was about to change it, such as build
	Taken  time.Time `json:"taken"`
	Files  []string  `json:"files"` // those that were there
}

// KeepState keeps the present settings, sheet and map of the project in dir before a command changes them, unless the
// latest state is the same. Only the last ten states are kept.
func KeepState(dir, command string) error {
	states, err := States(dir)
	if err != nil {
		return err
	}
	contents := map[string][]byte{}
	state := State{Number: 1, Before: command, Taken: time.Now().Round(0), Files: []string{}}
	for _, name := range kept {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return err
		}
		contents[name] = data
		state.Files = append(state.Files, name)
	}
	if len(states) > 0 {
		latest := states[0]
		if latest.holds(dir, contents) {
			return nil
		}
		state.Number = latest.Number + 1
	}
	if len(contents) == 0 {
		return nil
	}
	folder := statePath(dir, state.Number)
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return err
	}
	for name, data := range contents {
		if err := whole.Write(filepath.Join(folder, name), data); err != nil {
			return err
		}
	}
	about, err := json.Marshal(state)
	if err != nil {
		return err
	}
	if err := whole.Write(filepath.Join(folder, stateFile), append(about, '\n')); err != nil { // last: a state is whole with it
		return err
	}
	for _, old := range states[min(len(states), mostStates-1):] {
		if err := os.RemoveAll(statePath(dir, old.Number)); err != nil {
			return err
		}
	}
	return nil
}

func statePath(dir string, number int) string {
	return filepath.Join(dir, statesFolder, strconv.Itoa(number))
}

// holds says whether the state is the same as these files.
func (s State) holds(dir string, contents map[string][]byte) bool {
	if len(s.Files) != len(contents) {
		return false
	}
	for name, data := range contents {
		old, err := os.ReadFile(filepath.Join(statePath(dir, s.Number), name))
		if err != nil || !bytes.Equal(old, data) {
			return false
		}
	}
	return true
}

// States lists the states of the project in dir that one can go back to, the latest first. One that was not finished
// is none.
func States(dir string) ([]State, error) {
	entries, err := os.ReadDir(filepath.Join(dir, statesFolder))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var states []State
	for _, entry := range entries {
		data, err := os.ReadFile(filepath.Join(dir, statesFolder, entry.Name(), stateFile))
		var state State
		if err != nil || json.Unmarshal(data, &state) != nil || strconv.Itoa(state.Number) != entry.Name() {
			continue
		}
		states = append(states, state)
	}
	slices.SortFunc(states, func(a, b State) int { return b.Number - a.Number })
	return states, nil
}

// GoBack returns the settings, the sheet and the map of the project in dir to a state; a file that was not there then
// is taken away. The present state is kept first, so that one can come forward again.
func GoBack(dir string, number int) error {
	states, err := States(dir)
	if err != nil {
		return err
	}
	at := slices.IndexFunc(states, func(s State) bool { return s.Number == number })
	if at < 0 {
		return fmt.Errorf("%s: no state %d: expected one of those that `lapstrake back %s` lists", dir, number, dir)
	}
	contents := map[string][]byte{} // read before the oldest state may go
	for _, name := range states[at].Files {
		if contents[name], err = os.ReadFile(filepath.Join(statePath(dir, number), name)); err != nil {
			return err
		}
	}
	if err := KeepState(dir, "back"); err != nil {
		return err
	}
	for _, name := range kept {
		path := filepath.Join(dir, name)
		if data, was := contents[name]; was {
			if err := whole.Write(path, data); err != nil {
				return err
			}
		} else if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}
