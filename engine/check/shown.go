// What is shown of a report besides its words: what was drawn, how findings sound, and whether all is still as it was.

package check

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"time"

	"lapstrake/engine/show"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/whole"
)

// ShownFile is where it lies, in the folder of what was checked.
const ShownFile = "shown.json"

// Shown lies beside the last report, for those who show it.
type Shown struct {
	Of       State              `json:"of"`
	Drawings map[string][]Drawn `json:"drawings"` // by check
	Sounds   map[string]ToHear  `json:"sounds"`   // by the id of what was found; none for what cannot be heard
}

// Drawn is a drawing as numbers. Missing values break lines.
type Drawn struct {
	Title  string       `json:"title"`
	Across string       `json:"across"` // what the axis counts
	Axis   string       `json:"axis"`   // keys, controller, time, numbers
	Up     string       `json:"up"`     // what the curves count, with its unit
	About  []string     `json:"about"`  // the limits that it is about; none: all of its check
	Curves []DrawnCurve `json:"curves"`
}

// DrawnCurve is a line, or dots.
type DrawnCurve struct {
	Name string     `json:"name"`
	X    []float64  `json:"x"`
	Y    []*float64 `json:"y"`
	Dots bool       `json:"dots"`
}

// ToHear is how a finding sounds.
type ToHear struct {
	Name   string  `json:"name"`
	Scenes []Scene `json:"scenes"`
}

// State is what was checked: the map, which is named, and its beds, by their paths in the project's folder.
type State struct {
	Map   string               `json:"map"`
	Files map[string]FileState `json:"files"`
}

// FileState tells a file from what it was. Where size and time differ, content decides.
type FileState struct {
	Size     int64     `json:"size"`
	Modified time.Time `json:"modified"`
	SHA256   string    `json:"sha256"`
}

// state is how the files are before anything is measured; their hashes come later.
func (s *subject) state() (State, error) {
	state := State{Map: filepath.Base(s.MapPath), Files: map[string]FileState{}}
	for _, path := range append(s.m.BedPaths(), state.Map) {
		info, err := os.Stat(filepath.Join(filepath.Dir(s.MapPath), filepath.FromSlash(path)))
		if err != nil {
			return state, err
		}
		state.Files[path] = FileState{Size: info.Size(), Modified: info.ModTime()}
	}
	return state, nil
}

// shown is what a whole report leaves. Without the beds' hashes, which some checks alone do not need, times decide.
func (s *subject) shown(report *Report, of State) *Shown {
	shown := &Shown{Of: of, Drawings: map[string][]Drawn{}, Sounds: map[string]ToHear{}}
	for path, file := range of.Files {
		file.SHA256 = s.hashes[path]
		if path == of.Map {
			file.SHA256 = s.hashes[s.MapPath]
		}
		of.Files[path] = file
	}
	for _, part := range report.Parts {
		for _, drawing := range part.Drawings {
			if c, ok := drawing.(*show.Curves); ok {
				shown.Drawings[part.Name] = append(shown.Drawings[part.Name], drawnOf(c))
			}
		}
		for _, f := range part.Findings {
			if name, scenes := s.scenes(f); len(scenes) > 0 {
				shown.Sounds[f.ID] = ToHear{name, scenes}
			}
		}
	}
	return shown
}

func drawnOf(c *show.Curves) Drawn {
	axes := map[show.Axis]string{show.Numbers: "numbers", show.Keys: "keys", show.Controller: "controller",
		show.Time: "time"}
	d := Drawn{Title: c.Title, Across: c.Across, Axis: axes[c.Axis], Up: c.Up, About: append([]string{}, c.About...)}
	if c.OverKeys() {
		d.Axis = "keys"
	}
	for _, curve := range c.Curves {
		one := DrawnCurve{Name: curve.Name, X: slices.Clone(curve.X), Dots: curve.Dots}
		for i, y := range curve.Y {
			one.X[i] = math.Round(1e3*one.X[i]) / 1e3
			if math.IsNaN(y) || math.IsInf(y, 0) {
				one.Y = append(one.Y, nil)
				continue
			}
			y = math.Round(1e3*y) / 1e3
			one.Y = append(one.Y, &y)
		}
		d.Curves = append(d.Curves, one)
	}
	return d
}

// keepShown keeps it in a folder, as KeepReport does.
func (r *Report) keepShown(folder string) {
	if data, err := json.Marshal(r.shown); err == nil {
		whole.Write(filepath.Join(folder, ShownFile), data)
	}
}

// LastShown reads what the last run in dir left to be shown, with its report, in which the findings are waived that
// are now. It is an fs.ErrNotExist where there was no run, or one of a program that left nothing to show.
func LastShown(dir string) (*Report, *Shown, error) {
	path := filepath.Join(dir, project.CheckedFolder, ShownFile)
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, nil, err
	}
	shown := &Shown{}
	if err := json.Unmarshal(data, shown); err != nil || shown.Of.Map == "" {
		return nil, nil, fmt.Errorf("%s: is not what check leaves there: check again: %w", path, fs.ErrNotExist)
	}
	report, err := ReadReport(filepath.Join(dir, project.CheckedFolder, lastReport))
	if err != nil {
		return nil, nil, err
	}
	waivers, err := ReadWaivers(dir)
	if err != nil {
		return nil, nil, err
	}
	report.Verdict = Passes
	for i := range report.Parts {
		part := &report.Parts[i]
		for j := range part.Findings {
			part.Findings[j].Waived = ""
		}
		waive(part.Findings, waivers)
		part.conclude()
		if part.Verdict.rank() > report.Verdict.rank() {
			report.Verdict = part.Verdict
		}
	}
	return report, shown, nil
}

// Changed lists which files in dir are not what they were. It notes the times of files whose content is the same.
func (s *State) Changed(dir string) (paths []string, err error) {
	for path, was := range s.Files {
		file := filepath.Join(dir, filepath.FromSlash(path))
		info, err := os.Stat(file)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			paths = append(paths, path)
			continue
		case err != nil:
			return nil, err
		case info.Size() == was.Size && info.ModTime().Equal(was.Modified):
			continue
		}
		hash, err := decode.Hash(file)
		if err != nil {
			return nil, err
		}
		if hash != was.SHA256 {
			paths = append(paths, path)
			continue
		}
		s.Files[path] = FileState{info.Size(), info.ModTime(), hash}
	}
	slices.Sort(paths)
	return paths, nil
}
