// Package mark keeps moments of a performance: what sounded where, who was audible, and all that is needed to play the
// seconds before again, to the very sample.
package mark

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/whole"
	"lapstrake/voices"
)

// version is that of the file of a mark that this package reads and writes.
const version = 1

// LeadSec is how long before its moment a mark begins to sound again, unless more is asked for.
const LeadSec = 5

// KeptSec is how much of the performance before its moment is kept with a mark, where there is so much.
const KeptSec = 30

// mostBytes bounds the file of a mark: one of 256 cycles and 30 s of a flood of messages takes a tenth of it.
const mostBytes = 16 << 20

// Mark is a moment that was kept while playing. What a person reads of it stands in its row of marks.csv.
type Mark struct {
	Version int       `json:"version"`
	Number  int       `json:"mark"`
	When    time.Time `json:"when"`
	Quality string    `json:"quality"`  // of the resampling
	Channel int       `json:"channel"`  // that was played, 1 to 16; 0 all
	Apart   bool      `json:"apart"`    // channels stood apart
	Map     string    `json:"map"`      // as it was played: the text of a map.toml
	Beds    []Bed     `json:"beds"`     // of the cycles that sounded or were struck
	Frame   int64     `json:"frame"`    // of the mark, counted since the player began, as in a recording
	LeftOut int       `json:"left_out"` // notes that still sounded on a map from before, and are not kept

	Sounding []Place       `json:"sounding"` // at the mark
	Audible  []Take        `json:"audible"`  // takes that stood out, the loudest first
	Begin    engine.Moment `json:"begin"`    // some seconds before
	Events   []Event       `json:"events"`   // from there on to the mark
}

// Bed is a bed as it was.
type Bed struct {
	Path string `json:"bed"`    // from the project's folder
	Hash string `json:"sha256"` // or goneHash
}

// Place is where a cycle stood.
type Place struct {
	Key      int     `json:"key"`
	Rank     string  `json:"rank"`
	Root     int     `json:"root"`
	Layer    string  `json:"layer"`
	Strand   string  `json:"strand"` // of the bed that sounds there
	Bed      string  `json:"bed"`
	AtSec    float64 `json:"at_s"` // in the cycle, unshifted
	CycleSec float64 `json:"cycle_s"`
	GainDB   float64 `json:"gain_db"` // of its frames; −200 at most little
}

// Take is a take that stood out.
type Take struct {
	Name        string  `json:"take"`
	Contributor string  `json:"contributor"`
	Sones       float64 `json:"sones"` // how loud within all the others
}

// Event is a message at its frame.
type Event struct {
	Frame   int64   `json:"frame"`
	Message [3]byte `json:"message"`
	Fine    uint32  `json:"fine,omitempty"` // of a tuning message
}

func (e Event) played() engine.Event {
	return engine.Event{Frame: e.Frame, Status: e.Message[0], Data1: e.Message[1], Data2: e.Message[2], Fine: e.Fine}
}

// Path is the file of a mark in the project folder dir.
func Path(dir string, number int) string {
	return filepath.Join(dir, project.MarksFolder, fmt.Sprintf("%04d.json", number))
}

// Read reads mark number of the project in dir, and checks all of it that can be checked without its beds.
func Read(dir string, number int) (*Mark, error) {
	path := Path(dir, number)
	m, err := read(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: no such file: found no mark %d, expected one that `lapstrake marks %s` lists: %w",
			path, number, dir, err)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w; copy the file again, or go without this mark", path, err)
	}
	if m.Number != number {
		return nil, fmt.Errorf("%s: found mark %d, expected %d: give the file its name back", path, m.Number, number)
	}
	return m, nil
}

func read(path string) (*Mark, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	data, err := io.ReadAll(io.LimitReader(file, mostBytes+1))
	if err != nil {
		return nil, err
	}
	if len(data) > mostBytes {
		return nil, fmt.Errorf("found more than %d bytes, expected fewer", mostBytes)
	}
	return parse(data)
}

func parse(data []byte) (*Mark, error) {
	m := &Mark{}
	decoder := json.NewDecoder(bytes.NewReader(data))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(m); err != nil {
		return nil, fmt.Errorf("byte %d: %w", decoder.InputOffset(), err)
	}
	if decoder.More() {
		return nil, fmt.Errorf("byte %d: found more, expected the end", decoder.InputOffset())
	}
	return m, m.check()
}

func (m *Mark) check() error {
	if m.Version != version {
		return fmt.Errorf("found version %d, expected %d: made by another version of the program", m.Version, version)
	}
	if _, err := voices.ParseQuality(m.Quality); err != nil {
		return err
	}
	if m.Channel < 0 || m.Channel > 16 {
		return fmt.Errorf("found channel %d, expected 0 to 16", m.Channel)
	}
	if _, err := m.PlayedMap(); err != nil {
		return err
	}
	from := m.Begin.Frame
	if m.Frame < from {
		return fmt.Errorf("found the mark at frame %d, expected none before its beginning at %d", m.Frame, from)
	}
	for i, e := range m.Events {
		if e.Frame < from || e.Frame >= m.Frame {
			return fmt.Errorf("events[%d]: found frame %d, expected %d to %d, in order", i, e.Frame, from, m.Frame-1)
		}
		kind := e.Message[0]
		known := kind >= engine.KindNoteOff && kind <= engine.KindTuneOctave || kind == engine.KindPick
		if !known || e.Message[1] > 127 || e.Message[2] > 127 {
			return fmt.Errorf("events[%d]: found the bytes % x, expected a message that the player takes", i,
				e.Message)
		}
		from = e.Frame
	}
	return nil
}

// PlayedMap is the map as it was played.
func (m *Mark) PlayedMap() (*mapping.Map, error) { return mapping.Parse([]byte(m.Map), "map") }

// Reserve gives the mark the next number that is free in the project folder dir, for its file alone. A sheet that
// cannot be understood is an error, and nothing is reserved.
func (m *Mark) Reserve(dir string) error {
	_, rows, err := readSheet(dir)
	if err != nil {
		return err
	}
	for _, row := range rows {
		m.Number = max(m.Number, row.Number)
	}
	if err := os.MkdirAll(filepath.Join(dir, project.MarksFolder), 0o777); err != nil {
		return err
	}
	for { // a file whose row somebody deleted keeps its number
		m.Number++
		file, err := os.OpenFile(Path(dir, m.Number), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if err == nil {
			return file.Close()
		}
		if !errors.Is(err, fs.ErrExist) {
			return err
		}
	}
}

// write puts the file of a mark in the place that was reserved.
func (m *Mark) write(dir string) error {
	data, err := json.Marshal(m)
	if err != nil {
		return err
	}
	return whole.Write(Path(dir, m.Number), append(data, '\n'))
}
