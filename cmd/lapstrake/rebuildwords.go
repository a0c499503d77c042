// What a build says to the rebuilder that has started it.

package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"path"
	"strings"
)

// buildWords takes in what a build writes on standard error, line by line, and its result.
type buildWords struct {
	progress func(percent int)
	result   bytes.Buffer
	said     []string // whole lines, without those of progress
	part     []byte   // of a line that goes on
}

func (w *buildWords) Write(text []byte) (int, error) {
	w.part = append(w.part, text...)
	for {
		line, rest, whole := bytes.Cut(w.part, []byte("\n"))
		if !whole {
			return len(text), nil
		}
		w.part = rest
		percent := 0
		if count, _ := fmt.Sscanf(string(line), progressLine, &percent); count == 1 {
			w.progress(percent)
		} else {
			w.said = append(w.said, string(line))
		}
	}
}

// errors is what went wrong, a line each.
func (w *buildWords) errors() string {
	var found []string
	for _, line := range w.said {
		if text, isError := strings.CutPrefix(line, "lapstrake: "); isError {
			found = append(found, strings.TrimSpace(text))
		}
	}
	return strings.Join(found, "\n")
}

// made says which beds were made.
func (w *buildWords) made() string {
	var result struct {
		Built      []string
		Kept       int
		NudgesLost []string `json:"nudges_lost"`
	}
	json.Unmarshal(w.result.Bytes(), &result)
	lost := ""
	if len(result.NudgesLost) > 0 {
		lost = "; the new map has no place for the kept nudges of " + strings.Join(result.NudgesLost, ", ")
	}
	if len(result.Built) == 0 {
		return "rebuilt: no bed had to be made anew" + lost
	}
	return fmt.Sprintf("rebuilt: %s made anew, %d kept: %s%s", count(len(result.Built), "bed"), result.Kept,
		named(result.Built), lost)
}

// mostNamed is how many things are called by their names at once.
const mostNamed = 3

// named lists the first of some paths, and counts the others.
func named(paths []string) string {
	names := make([]string, 0, mostNamed+1)
	for _, p := range paths[:min(len(paths), mostNamed)] {
		names = append(names, path.Clean(p))
	}
	if more := len(paths) - mostNamed; more > 0 {
		names = append(names, fmt.Sprintf("and %d more", more))
	}
	return strings.Join(names, ", ")
}
