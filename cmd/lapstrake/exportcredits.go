// What export does about whose takes sound.

package main

import (
	"strings"

	"lapstrake/mapping/export"
	"lapstrake/mapping/export/credits"
)

// checkCredits finds out whose takes sound, and stops an export for a use that some of them forbid.
func checkCredits(s streams, job *export.Job, dir string, use credits.Use) (err error) {
	if job.Credits, err = credits.Read(dir, job.Map); err != nil {
		return err
	}
	if job.Credits == nil {
		if use == credits.ForCommercial || use == credits.ForSharing {
			return foundWrong("--for %s: %s has no take sheet, so nobody can say what its beds allow; "+
				"write one with `lapstrake intake`, or leave --for away", use, dir)
		}
		s.notice("%s has no take sheet: no credits are written", dir)
		return nil
	}
	if forbidden := job.Credits.Forbidden(use); len(forbidden) > 0 {
		return foundWrong("--for %s: %d of its takes and beds stand against it; ask those who sent them and note the answer in takes.csv "+
			"(\"agreed: %[1]s\" counts before all other words), or leave them out (use = no) and build again:\n%[3]s",
			use, len(forbidden), strings.Join(forbidden, "\n"))
	}
	if unknown := job.Credits.Unknown; unknown != nil {
		s.notice("%d beds, the first %s, are not as a build made them, so nobody knows whose takes they hold: "+
			"if that is not meant, run `lapstrake build %s`", len(unknown), unknown[0], dir)
	}
	if use == credits.ForCommercial || use == credits.ForSharing {
		noticeUnread(s, job.Credits.Unread())
	}
	return nil
}

// noticeUnread lists takes whose terms a person has to read.
func noticeUnread(s streams, takes []string) {
	if len(takes) == 0 {
		return
	}
	s.notice("terms in words of their own, which nobody but you can read (%d):", len(takes))
	for _, take := range takes[:min(len(takes), mostListed)] {
		s.notice("  %s", take)
	}
	if more := len(takes) - mostListed; more > 0 {
		s.notice("  and %d more; CREDITS.csv lists all", more)
	}
}
