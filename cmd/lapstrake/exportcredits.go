// What export does about whose takes sound.

package main

import (
	"fmt"
	"strings"

	"lapstrake/mapping/export"
	"lapstrake/mapping/export/credits"
	"lapstrake/mapping/takes/terms"
)

// checkCredits finds out whose takes sound in the first usedSec of the beds (0: all of them), and stops an export for
// a use that some of them forbid.
func checkCredits(s streams, job *export.Job, dir string, use terms.Use, usedSec float64) (err error) {
	if job.Credits, err = credits.Read(dir, job.Map, usedSec); err != nil {
		return err
	}
	if job.Credits == nil {
		if use == terms.ForCommercial || use == terms.ForSharing {
			return foundWrong("--for %s: %s has no take sheet, so nobody can say what its beds allow; "+
				"write one with `lapstrake intake`, or leave --for away", use, dir)
		}
		s.notice("%s has no take sheet: no credits are written", dir)
		return nil
	}
	if forbidden := job.Credits.Forbidden(use); len(forbidden) > 0 {
		return foundWrong("--for %s: %d of its takes and beds stand against it; decide in the column terms of "+
			"takes.csv%s, or leave them out (use = no) and build again; `lapstrake export %s --ask -` writes a text "+
			"to ask with:\n%s",
			use, len(forbidden), takeSuggested(job.Credits.Suggested()), dir, strings.Join(forbidden, "\n"))
	}
	if unknown := job.Credits.Unknown; unknown != nil {
		s.notice("%s put there or edited by hand, the first %s: nobody knows all that they hold, and the credits "+
			"name only the takes that a build made them from; if that is not meant, `lapstrake build %s --force` "+
			"makes them anew",
			count(len(unknown), "bed"), unknown[0], dir)
	}
	if use == terms.ForCommercial || use == terms.ForSharing {
		noticeDoubts(s, job.Credits.Doubts(use))
	}
	return nil
}

// takeSuggested says how to take the terms that are suggested for some takes.
func takeSuggested(count int) string {
	if count == 0 {
		return ""
	}
	return fmt.Sprintf(" (for %d, terms are suggested below: once you have read the consent, write them there)", count)
}

// noticeDoubts lists takes whose consent a person should read once more.
func noticeDoubts(s streams, takes []string) {
	if len(takes) == 0 {
		return
	}
	s.notice("the terms are yours to decide, but read the consent of these again (%d):", len(takes))
	for _, take := range takes[:min(len(takes), mostListed)] {
		s.notice("  %s", take)
	}
	if more := len(takes) - mostListed; more > 0 {
		s.notice("  and %d more; CREDITS.csv lists all", more)
	}
}
