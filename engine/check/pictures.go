// The pictures of a report as a set of files.

package check

import (
	"fmt"
	"strings"

	"lapstrake/engine/show"
)

// Picture is a drawing and what its file is called, without an ending.
type Picture struct {
	File    string
	Drawing show.Drawing
}

// Pictures lists the drawings of all checks. Their files are named after check and title, no two alike.
func (r *Report) Pictures() (all []Picture) {
	seen := map[string]int{}
	for _, part := range r.Parts {
		for _, drawing := range part.Drawings {
			file := part.Name + "-" + fileWords(drawing.Name())
			if seen[file]++; seen[file] > 1 {
				file = fmt.Sprintf("%s-%d", file, seen[file])
			}
			all = append(all, Picture{file, drawing})
		}
	}
	return all
}

// fileWords keeps of a title what is safe in the name of a file.
func fileWords(title string) string {
	words := strings.FieldsFunc(strings.ToLower(strings.ReplaceAll(title, "#", "-sharp")), func(letter rune) bool {
		return !('a' <= letter && letter <= 'z' || '0' <= letter && letter <= '9')
	})
	return strings.Join(words, "-")
}
