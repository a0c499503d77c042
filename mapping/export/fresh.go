// Whether the beds are those that a build wrote the map for.

package export

import (
	"fmt"
	"path/filepath"
	"strings"

	"lapstrake/mapping"
	"lapstrake/mapping/beds"
)

// CheckFresh refuses a map whose beds are not what the last build left: the build was broken off, or somebody edited a
// bed since. It judges by what the beds hold, so that a copy of a project is as fresh as the project, whatever the
// times of its files. A bed that is missing passes, since opening it reports that, and so does one that no build made.
func CheckFresh(mapPath string, m *mapping.Map) error {
	dir := filepath.Dir(mapPath)
	changed, unfinished, err := beds.ChangedSinceBuild(dir, m.BedPaths())
	switch {
	case err != nil:
		return err
	case unfinished:
		return fmt.Errorf("%s: stale: a build was broken off before it wrote the map; expected a map that was made "+
			"for the beds as they are: run `lapstrake build %s`", mapPath, dir)
	case changed == nil:
		return nil
	}
	const mostNamed = 3
	more := ""
	if n := len(changed) - mostNamed; n > 0 {
		changed, more = changed[:mostNamed], fmt.Sprintf(" and %d more", n)
	}
	return fmt.Errorf("%s: stale: %s%s changed since the last build; expected beds as a build made them or found "+
		"them: run `lapstrake build %s`, which keeps beds that were edited by hand and makes damaged ones anew",
		mapPath, strings.Join(changed, ", "), more, dir)
}
