// Whether a map is newer than its beds.

package export

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"lapstrake/mapping"
)

// CheckFresh refuses a map that is older than one of its beds. Such a map was made for other beds: a build was broken
// off, or somebody put a bed there by hand. A bed that is missing passes: opening it reports that.
func CheckFresh(mapPath string, m *mapping.Map) error {
	info, err := os.Stat(mapPath)
	if err != nil {
		return err
	}
	var newer []string
	for _, bed := range m.BedPaths() {
		path := filepath.Join(filepath.Dir(mapPath), filepath.FromSlash(bed))
		if b, err := os.Stat(path); err == nil && b.ModTime().After(info.ModTime()) {
			newer = append(newer, bed)
		}
	}
	if newer == nil {
		return nil
	}
	const mostNamed = 3
	more := ""
	if n := len(newer) - mostNamed; n > 0 {
		newer, more = newer[:mostNamed], fmt.Sprintf(" and %d more", n)
	}
	return fmt.Errorf("%s: stale: %s%s changed after the map was written, at %s; "+
		"expected a map that was made from the beds as they are: run `lapstrake build` (or `lapstrake map` for finished "+
		"beds), or save the map again if it is right as it is",
		mapPath, strings.Join(newer, ", "), more, info.ModTime().Format("2006-01-02 15:04:05"))
}
