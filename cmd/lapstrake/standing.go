// Whether what a map plays is what the sheet lets sound: what the commands say of it.

package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"lapstrake/mapping"
	"lapstrake/mapping/beds"
)

// checkStanding stops an export of takes that the sheet does not let sound any more, and, unless oldBeds, of beds that
// no recipe stands behind.
func checkStanding(s streams, dir string, m *mapping.Map, oldBeds bool) error {
	standing, err := beds.Compare(dir, m)
	if err != nil {
		return err
	}
	if len(standing.Unwanted) > 0 {
		return foundWrong("%d takes still sound in the beds, against the take sheet: %s:\n%s", len(standing.Unwanted),
			mendStanding(dir, standing), strings.Join(unwantedLines(standing), "\n"))
	}
	if len(standing.Old) == 0 {
		return nil
	}
	if !oldBeds {
		return foundWrong("the map plays %d beds that the settings and the sheet do not make any more: write the map anew with "+
			"`lapstrake build %s --force`, or export them as they are with --old-beds:\n%s",
			len(standing.Old), dir, strings.Join(oldLines(standing), "\n"))
	}
	s.notice("the map plays %d beds that the settings and the sheet do not make any more", len(standing.Old))
	return nil
}

// mendStanding says what takes the unwanted out of the beds. A build does not touch old beds that a map edited by hand
// plays.
func mendStanding(dir string, standing *beds.Standing) string {
	for _, old := range standing.Old {
		for _, u := range standing.Unwanted {
			for _, bed := range u.Beds {
				if bed == old.Bed {
					return fmt.Sprintf("some sound in beds that only a map edited by hand still plays, so run `lapstrake build %s --force`, "+
						"which writes the map anew", dir)
				}
			}
		}
	}
	return fmt.Sprintf("run `lapstrake build %s`", dir)
}

func unwantedLines(standing *beds.Standing) (lines []string) {
	for _, u := range standing.Unwanted {
		lines = append(lines, u.String())
	}
	return lines
}

func oldLines(standing *beds.Standing) (lines []string) {
	for _, old := range standing.Old {
		lines = append(lines, old.String())
	}
	return lines
}

// noticeStanding says in one sentence that takes sound which the sheet does not let sound any more. A sheet that cannot
// be read keeps nobody from playing.
func noticeStanding(s streams, project string) {
	path, err := mapping.Locate(project)
	if err != nil {
		return
	}
	m, err := mapping.Load(path)
	if err != nil {
		return
	}
	dir := filepath.Dir(path)
	standing, err := beds.Compare(dir, m)
	if err != nil || len(standing.Unwanted) == 0 {
		return
	}
	first := standing.Unwanted[0]
	s.notice("%d takes still sound against the take sheet, the first %s (%s): %s",
		len(standing.Unwanted), first.Take, first.Why, mendStanding(dir, standing))
}

// printStanding says which old beds a kept map still plays, and which takes sound there against the sheet.
func printStanding(s streams, dir string, standing *beds.Standing) {
	listLines(s, "the map still plays beds that are not made any more", oldLines(standing))
	listLines(s, "still heard against the take sheet", unwantedLines(standing))
	if len(standing.Old)+len(standing.Unwanted) > 0 {
		fmt.Fprintf(s.out, "to mend this: `lapstrake build %s --force` writes the map anew, or take these beds out of the map by hand\n", dir)
	}
}
