// Whom and what the words of a withdrawal mean.

package withdraw

import (
	"fmt"
	"slices"
	"strings"

	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

// Choose finds the takes that a word means: those of a contributor, or the take of that path, with or without takes/ in
// front. The error of a word that means none names the nearest that there is.
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
	nearest, least := "", 0
	for i := range rows {
		for _, name := range []string{rows[i].Contributor, rows[i].Path} {
			if away := distance(strings.ToLower(path), strings.ToLower(name)); name != "" && (nearest == "" || away < least) {
				nearest, least = name, away
			}
		}
	}
	if nearest == "" {
		return nil, fmt.Errorf("%q: there are no takes here", word)
	}
	return nil, fmt.Errorf("%q: no contributor and no take of that name; the nearest is %q", word, nearest)
}

// distance counts the letters that differ: the least number of insertions, deletions and changes that make one text the
// other (Levenshtein 1966).
func distance(a, b string) int {
	from, to := []rune(a), []rune(b)
	row := make([]int, len(to)+1)
	for k := range row {
		row[k] = k
	}
	for i, letter := range from {
		corner := row[0]
		row[0] = i + 1
		for k, other := range to {
			change := corner
			if letter != other {
				change++
			}
			corner = row[k+1]
			row[k+1] = min(change, row[k]+1, row[k+1]+1)
		}
	}
	return row[len(to)]
}
