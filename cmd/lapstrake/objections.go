// Whether what a map plays is what the sheet lets sound: what the commands say of it.

package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"lapstrake/mapping"
	"lapstrake/mapping/beds"
)

// checkObjections stops an export of takes that the sheet does not let sound any more, and, unless oldBeds, of beds
// that no recipe stands behind.
func checkObjections(s streams, dir string, m *mapping.Map, oldBeds bool) error {
	objections, err := beds.Compare(dir, m)
	if err != nil {
		return err
	}
	if len(objections.Unwanted) > 0 {
		return foundWrong("%d takes still sound in the beds, against the take sheet: %s:\n%s", len(objections.Unwanted),
			mendObjections(dir, objections), strings.Join(unwantedLines(objections), "\n"))
	}
	if len(objections.Old) == 0 {
		return nil
	}
	if !oldBeds {
		return foundWrong("the map plays %d beds that the settings and the sheet do not make any more: write the map anew "+
			"with `lapstrake build %s --force`, or export them as they are with --old-beds:\n%s",
			len(objections.Old), dir, strings.Join(oldLines(objections), "\n"))
	}
	s.notice("the map plays %d beds that the settings and the sheet do not make any more", len(objections.Old))
	return nil
}

// mendObjections says what takes the unwanted out of the beds. A build does not touch old beds that a map edited by
// hand plays.
func mendObjections(dir string, objections *beds.Objections) string {
	for _, old := range objections.Old {
		for _, u := range objections.Unwanted {
			for _, bed := range u.Beds {
				if bed == old.Bed {
					return fmt.Sprintf("some sound in beds that only a map edited by hand still plays, so run `lapstrake build %s "+
						"--force`, which writes the map anew", dir)
				}
			}
		}
	}
	return fmt.Sprintf("run `lapstrake build %s`", dir)
}

func unwantedLines(objections *beds.Objections) (lines []string) {
	for _, u := range objections.Unwanted {
		lines = append(lines, u.String())
	}
	return lines
}

func oldLines(objections *beds.Objections) (lines []string) {
	for _, old := range objections.Old {
		lines = append(lines, old.String())
	}
	return lines
}

// noticeObjections says in one sentence that takes sound which the sheet does not let sound any more. A sheet that
// cannot be read keeps nobody from playing.
func noticeObjections(s streams, project string) {
	path, err := mapping.Locate(project)
	if err != nil {
		return
	}
	m, err := mapping.Load(path)
	if err != nil {
		return
	}
	dir := filepath.Dir(path)
	objections, err := beds.Compare(dir, m)
	if err != nil || len(objections.Unwanted) == 0 {
		return
	}
	first := objections.Unwanted[0]
	s.notice("%d takes still sound against the take sheet, the first %s (%s): %s",
		len(objections.Unwanted), first.Take, first.Why, mendObjections(dir, objections))
}

// printObjections says which old beds a kept map still plays, and which takes sound there against the sheet.
func printObjections(s streams, dir string, objections *beds.Objections) {
	listLines(s, "the map still plays beds that are not made any more", oldLines(objections))
	listLines(s, "still heard against the take sheet", unwantedLines(objections))
	if len(objections.Old)+len(objections.Unwanted) > 0 {
		fmt.Fprintf(s.out, "to mend this: `lapstrake build %s --force` writes the map anew, or take these beds out of the "+
			"map by hand\n", dir)
	}
}
