// export --ask: letters to those whose terms are open.

package main

import (
	"fmt"
	"os"

	"lapstrake/mapping"
	"lapstrake/mapping/export"
	"lapstrake/mapping/export/credits"
	"lapstrake/mapping/takes/terms"
)

// writeLetters writes the letters to the file of --ask, which must be new, or to standard output.
func (o *exportOptions) writeLetters(s streams, dir string, m *mapping.Map, use terms.Use) error {
	job := &export.Job{Map: m}
	if err := nameJob(job, dir); err != nil {
		return err
	}
	found, err := credits.Read(dir, m, m.BedSec)
	if err != nil {
		return err
	}
	if found == nil {
		return foundWrong("%s has no take sheet, so nobody is known to ask: write one with `lapstrake intake`", dir)
	}
	text := found.AskText(job.Title, job.Artist, use)
	if text == nil {
		s.notice("the terms of all takes that sound are decided: there is nobody to ask")
		return nil
	}
	if o.ask == "-" {
		_, err := s.out.Write(text)
		return err
	}
	file, err := os.OpenFile(o.ask, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if os.IsExist(err) {
		return fmt.Errorf("%s: is there already: choose another name", o.ask)
	}
	if err != nil {
		return err
	}
	if _, err := file.Write(text); err != nil {
		file.Close()
		return err
	}
	if err := file.Close(); err != nil {
		return err
	}
	fmt.Fprintf(s.out, "%s: send each letter, and note the answers in the columns terms and credit of takes.csv\n",
		o.ask)
	return nil
}
