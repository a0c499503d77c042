// Whom and what the words of a withdrawal mean.

package withdraw

import (
	"fmt"
	"slices"
	"strings"

	"lapstrake/mapping/nearest"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

// Choose finds the takes that a word means: those of a contributor, or the take of that path, with or without takes/
// in front. The error of a word that means none names the nearest that there is.
func Choose(rows []takes.Row, word string) (paths []string, err error) {
	path := strings.TrimPrefix(strings.TrimPrefix(word, "./"), project.TakesFolder+"/")
	for i := range rows {
		row := &rows[i]
		if row.Path == path || strings.EqualFold(row.Contributor,
			strings.TrimSpace(strings.TrimSuffix(path, "/"))) && row.Contributor != "" {
			if !slices.Contains(paths, row.Path) {
				paths = append(paths, row.Path)
			}
		}
	}
	if paths != nil {
		return paths, nil
	}
	var names []string
	for i := range rows {
		names = append(names, rows[i].Contributor, rows[i].Path)
	}
	closest := nearest.Closest(path, names)
	if closest == "" {
		return nil, fmt.Errorf("%q: there are no takes here", word)
	}
	return nil, fmt.Errorf("%q: no contributor and no take of that name; the nearest is %q", word, closest)
}
