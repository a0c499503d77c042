// Whether what a map plays is what the sheet lets sound: what the commands say of it.

package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"lapstrake/mapping"
	"lapstrake/mapping/beds"
)

// checkObjections stops an export of takes that the sheet does not let sound any more, and, unless oldBeds, of beds
// that no recipe stands behind, or another than when they were made and edited by hand.
func checkObjections(s streams, dir string, m *mapping.Map, oldBeds bool) error {
	objections, err := beds.Compare(dir, m)
	if err != nil {
		return err
	}
	if len(objections.Unwanted) > 0 {
		return foundWrong("%s in the beds, against the take sheet: %s:\n%s", stillSound(len(objections.Unwanted)),
			mendObjections(dir, objections), strings.Join(unwantedLines(objections), "\n"))
	}
	if err := checkEdited(dir, objections, oldBeds); err != nil || len(objections.Old) == 0 {
		return err
	}
	if !oldBeds {
		return foundWrong("the map plays %s that the settings and the sheet do not make any more: write the map anew "+
			"with `lapstrake build %s --force`, or export them as they are with --old-beds:\n%s",
			count(len(objections.Old), "bed"), dir, strings.Join(bedLines(objections.Old), "\n"))
	}
	s.notice("the map plays %s that the settings and the sheet do not make any more",
		count(len(objections.Old), "bed"))
	return nil
}

// checkEdited stops an export of beds that were edited by hand if their takes or settings have changed since they were
// made, unless oldBeds.
func checkEdited(dir string, objections *beds.Objections, oldBeds bool) error {
	if outdated := objections.Outdated(); len(outdated) > 0 && !oldBeds {
		return foundWrong("the map plays %s whose takes or settings have changed since they were made, and which "+
			"were edited by hand, so that no build touches them: make them anew with `lapstrake build %s --force`, "+
			"or export them as they are with --old-beds:\n%s",
			count(len(outdated), "bed"), dir, strings.Join(bedLines(outdated), "\n"))
	}
	return nil
}

// mendObjections says what takes the unwanted out of the beds. A build touches neither old beds that a map edited by
// hand plays nor beds edited by hand.
func mendObjections(dir string, objections *beds.Objections) string {
	old, edited := soundIn(objections, objections.Old), soundIn(objections, objections.Edited)
	switch {
	case old && edited:
		return fmt.Sprintf("some sound in beds edited by hand, and some in beds that only a map edited by hand "+
			"still plays, so run `lapstrake build %s --force`, which makes these beds and the map anew", dir)
	case old:
		return fmt.Sprintf("some sound in beds that only a map edited by hand still plays, so run `lapstrake build "+
			"%s --force`, which writes the map anew", dir)
	case edited:
		return fmt.Sprintf("some sound in beds edited by hand, so run `lapstrake build %s --force`, which makes "+
			"these beds anew", dir)
	}
	return fmt.Sprintf("run `lapstrake build %s`", dir)
}

// soundIn says whether a take that is not to sound is in one of some beds.
func soundIn(objections *beds.Objections, some []beds.OldBed) bool {
	return slices.ContainsFunc(objections.Unwanted, func(u beds.Unwanted) bool {
		return slices.ContainsFunc(some, func(bed beds.OldBed) bool { return slices.Contains(u.Beds, bed.Bed) })
	})
}

func unwantedLines(objections *beds.Objections) (lines []string) {
	for _, u := range objections.Unwanted {
		lines = append(lines, u.String())
	}
	return lines
}

func bedLines(some []beds.OldBed) (lines []string) {
	for _, bed := range some {
		lines = append(lines, bed.String())
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
	s.notice("%s against the take sheet, the first %s (%s): %s",
		stillSound(len(objections.Unwanted)), first.Take, first.Why, mendObjections(dir, objections))
}

// stillSound writes 1 take still sounds, 2 takes still sound.
func stillSound(takes int) string {
	if takes == 1 {
		return "1 take still sounds"
	}
	return fmt.Sprintf("%d takes still sound", takes)
}

// printObjections says which old beds a kept map still plays, which takes sound against the sheet, and what mends it.
func printObjections(s streams, dir string, objections *beds.Objections) {
	listLines(s, "the map still plays beds that are not made any more", bedLines(objections.Old))
	listLines(s, "still heard against the take sheet", unwantedLines(objections))
	switch {
	case len(objections.Old) > 0:
		fmt.Fprintf(s.out, "to mend this: `lapstrake build %s --force` writes the map anew, or take these beds out "+
			"of the map by hand\n", dir)
	case len(objections.Unwanted) > 0:
		fmt.Fprintf(s.out, "to mend this: %s\n", mendObjections(dir, objections))
	}
}
