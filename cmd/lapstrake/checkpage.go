// The files that check writes: the report as a page, the pictures.

package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strings"

	"lapstrake/engine/check"
	"lapstrake/mapping/whole"
)

// checkFiles refuses files that must not be written over, before anything is measured.
func (o *checkOptions) checkFiles(dir string) error {
	if o.pictures != "" {
		if err := checkOutput(filepath.Join(o.pictures, "picture.png"), dir, nil, true); err != nil {
			return err
		}
	}
	return checkOutput(o.report, dir, nil, o.force)
}

// writeFiles writes what was asked for besides what is printed.
func (o *checkOptions) writeFiles(s streams, in *check.Input, report *check.Report) error {
	if o.report != "" {
		if err := o.writePage(s, in, report); err != nil {
			return err
		}
		o.say(s, "%s: the report; open it in any browser", o.report)
	}
	if o.pictures != "" {
		pictures := report.Pictures()
		if err := o.writePictures(filepath.Dir(in.MapPath), pictures); err != nil {
			return err
		}
		o.say(s, "%s: %s, each as PNG and SVG", o.pictures, count(len(pictures), "picture"))
	}
	return nil
}

// say prints a line unless JSON is printed.
func (o *checkOptions) say(s streams, format string, args ...any) {
	if !o.json {
		fmt.Fprintf(s.out, format+"\n", args...)
	}
}

func (o *checkOptions) writePage(s streams, in *check.Input, report *check.Report) error {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	bar := newProgress(s.notices, "rendering sounds")
	clips, left, err := check.Clips(ctx, *in, report, bar.show)
	bar.end()
	if errors.Is(err, context.Canceled) {
		return interruptedError{errors.New("interrupted")}
	}
	if err != nil {
		return err
	}
	page, err := whole.Create(o.report)
	if err != nil {
		return err
	}
	defer page.Discard()
	title := in.Settings.Project.Title
	if title == "" {
		title = projectName(filepath.Dir(in.MapPath))
	}
	if err := report.WriteHTML(page, check.Page{
		Title: title, Artist: in.Settings.Project.Artist, Map: in.MapPath,
		Counts: strings.Join(verdictCounts(report), ", "),
		Clips:  clips, Left: left,
	}); err != nil {
		return err
	}
	return page.Commit()
}

// writePictures writes each picture twice into the folder, which it makes. It replaces none without --force.
func (o *checkOptions) writePictures(dir string, pictures []check.Picture) error {
	var paths []string
	for _, picture := range pictures {
		for _, ending := range []string{".png", ".svg"} {
			paths = append(paths, filepath.Join(o.pictures, picture.File+ending))
		}
	}
	for _, path := range paths {
		if err := checkOutput(path, dir, nil, o.force); err != nil {
			return err
		}
	}
	if err := os.MkdirAll(o.pictures, 0o777); err != nil {
		return err
	}
	for i, path := range paths {
		if err := writePicture(path, pictures[i/2].Drawing); err != nil {
			return err
		}
	}
	return nil
}
