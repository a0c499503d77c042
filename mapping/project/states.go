// States: what the sheets, the settings and the map were before and after commands changed them, to go back to.

package project

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"lapstrake/mapping"
	"lapstrake/mapping/whole"
)

const (
	statesFolder = ".lapstrake-states"
	stateFile    = "state.json"
	mostStates   = 10

	before, after = "before ", "after " // a command
)

// kept are the files of a project that a person decides in.
var kept = []string{SettingsFile, SheetFile, ContributorsFile, mapping.FileName}

// State is what a project's settings, sheet and map once were.
type State struct {
	Number int       `json:"number"` // counts up; the highest is the latest
	When   string    `json:"when"`   // such as "before build" or "after intake"
	Taken  time.Time `json:"taken"`
	Files  []string  `json:"files"` // those that were there
}

// KeepState keeps the present settings, sheets and map of the project in dir before a command changes them, unless the
// latest state is the same. SettleStates is called when the command is done.
func KeepState(dir, command string) error { return keepState(dir, before+command) }

func keepState(dir, when string) error {
	states, err := States(dir)
	if err != nil {
		return err
	}
	contents, err := present(dir)
	if err != nil {
		return err
	}
	state := State{Number: 1, When: when, Taken: time.Now().Round(0), Files: slices.Sorted(maps.Keys(contents))}
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
	return whole.Write(filepath.Join(folder, stateFile), append(about, '\n')) // last: a state is whole with it
}

// ForgetIdle forgets the latest state if the command before which it was kept has failed and changed nothing.
func ForgetIdle(dir string) error {
	states, err := States(dir)
	if err != nil || len(states) == 0 {
		return err
	}
	contents, err := present(dir)
	if err != nil || !strings.HasPrefix(states[0].When, before) || !states[0].holds(dir, contents) {
		return err
	}
	os.RemoveAll(statePath(dir, states[0].Number))
	os.Remove(filepath.Join(dir, statesFolder)) // fails while it holds a state
	return nil
}

// SettleStates keeps what a command has made of the project, so that what a person edits afterwards can be undone too,
// and forgets all states but the last ten and the present one.
func SettleStates(dir, command string) error {
	if err := keepState(dir, after+command); err != nil {
		return err
	}
	states, err := States(dir)
	if err != nil {
		return err
	}
	for i, state := range states {
		if i <= mostStates {
			continue
		}
		if err := os.RemoveAll(statePath(dir, state.Number)); err != nil {
			return err
		}
	}
	return nil
}

// present reads the kept files as they are now.
func present(dir string) (map[string][]byte, error) {
	contents := map[string][]byte{}
	for _, name := range kept {
		path := filepath.Join(dir, name)
		if info, err := os.Stat(path); err == nil && info.IsDir() {
			continue // the command that reads it says what is wrong
		}
		data, err := os.ReadFile(path)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		contents[name] = data
	}
	return contents, nil
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
	return SettleStates(dir, "back")
}

// Read gives a file of the state, such as SheetFile.
func (s State) Read(dir, name string) ([]byte, error) {
	return os.ReadFile(filepath.Join(statePath(dir, s.Number), name))
}

// Difference says in a few words how the present settings, sheet and map of the project in dir differ from a state.
func (s State) Difference(dir string) (string, error) {
	contents, err := present(dir)
	if err != nil {
		return "", err
	}
	var words []string
	for _, name := range kept {
		old, err := os.ReadFile(filepath.Join(statePath(dir, s.Number), name))
		now, isThere := contents[name]
		switch {
		case err != nil && isThere:
			words = append(words, "no "+name)
		case err == nil && !isThere:
			words = append(words, name+", which is gone")
		case err == nil && !bytes.Equal(old, now):
			words = append(words, fmt.Sprintf("%s: %d lines differ", name, otherLines(old, now)))
		}
	}
	if len(words) == 0 {
		return "as it is now", nil
	}
	return strings.Join(words, "; "), nil
}

// otherLines counts the lines of one text that the other has not.
func otherLines(old, now []byte) int {
	count := map[string]int{}
	for line := range bytes.Lines(now) {
		count[string(line)]++
	}
	here := 0
	for line := range bytes.Lines(old) {
		if count[string(line)] > 0 {
			count[string(line)]--
		} else {
			here++
		}
	}
	there := 0
	for _, n := range count {
		there += n
	}
	return max(here, there)
}

// ForgetChecks deletes what check keeps of the project in dir, for the same reason as ForgetStates.
func ForgetChecks(dir string) error { return os.RemoveAll(filepath.Join(dir, CheckedFolder)) }

// ForgetStates deletes all states of the project in dir: they may name what must not be named any more.
func ForgetStates(dir string) error { return os.RemoveAll(filepath.Join(dir, statesFolder)) }
