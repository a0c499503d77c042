// Write: the whole export, in place or not at all.

package export

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"time"

	"lapstrake/mapping/whole"
	"lapstrake/mapping/work"
)

// leftOverTime is for how long nobody has written to the files of an export that was killed.
const leftOverTime = 10 * time.Minute

// Write writes the export to the folder out, which appears whole or not at all. With replace it may take the place of
// an earlier export (see CheckTarget). Everything is read back and compared before it is put in place. When ctx ends,
// Write ends early with the context's error and leaves nothing.
func (j *Job) Write(ctx context.Context, out string, replace bool) (*Report, error) {
	_, err := os.Stat(out)
	replace = replace && err == nil // what appears at out from here on is not ours to replace
	laid, err := j.layOut()
	if err != nil {
		return nil, err
	}
	if err := checkSpace(out, laid.neededBytes); err != nil {
		return nil, err
	}
	folder, err := whole.CreateFolder(out)
	if err != nil {
		return nil, err
	}
	defer folder.Discard()
	if err := whole.Sweep(filepath.Dir(folder.Temp()), leftOverTime); err != nil {
		return nil, err
	}
	w := &writer{Job: j, laid: laid, dir: folder.Temp(),
		report: &Report{Output: out, Names: []string{}, GaveUp: append([]string{}, j.Sets.GaveUp...)}}
	if err := w.fill(ctx); err != nil {
		return nil, w.withoutTemp(err)
	}
	if replace { // it may have been written to since
		if err := checkReplaceable(out, folder.Target()); err != nil {
			return nil, err
		}
	}
	return w.report, folder.Commit(replace)
}

// writer is one export under way.
type writer struct {
	*Job
	laid   layout
	dir    string // in which the files are written
	report *Report
	sums   map[string]string // checksums of the files of sound, by name
}

// fill writes all files.
func (w *writer) fill(ctx context.Context) (err error) {
	if err := w.sounds(ctx); err != nil {
		return err
	}
	if err := w.texts(); err != nil {
		return err
	}
	w.report.Files, w.report.SizeBytes, err = writeChecksums(w.dir, w.sums)
	return err
}

// stepped takes in how many frames were read; an error ends the export.
type stepped func(frames int) error

// sounds writes and proves the files of all parts on all processors. The first that fails ends the others.
func (w *writer) sounds(ctx context.Context) error {
	for _, f := range w.laid.files {
		if err := os.MkdirAll(filepath.Dir(fileAt{w.dir, f.name}.path()), 0o777); err != nil {
			return err
		}
	}
	tally := work.NewTally(float64(w.laid.readFrames), w.Progress)
	read := func(ctx context.Context) stepped {
		return func(frames int) error {
			tally.Add(float64(frames))
			return ctx.Err()
		}
	}
	if len(w.folders()) > 0 {
		err := work.Each(ctx, len(w.laid.items), func(ctx context.Context, k int) (err error) {
			i := &w.laid.items[k]
			*i.measured, err = i.measure(read(ctx))
			return err
		})
		if err != nil {
			return err
		}
	}
	proofs, sums := make([][]Proof, len(w.laid.files)), make([]string, len(w.laid.files))
	err := work.Each(ctx, len(w.laid.files), func(ctx context.Context, k int) (err error) {
		f := &w.laid.files[k]
		if proofs[k], err = w.sound(f, read(ctx)); err != nil {
			return err
		}
		sums[k], err = checksum(fileAt{w.dir, f.name}.path())
		return err
	})
	if err != nil {
		return err
	}
	w.sums = map[string]string{}
	for k, f := range w.laid.files {
		w.sums[f.name] = sums[k]
	}
	w.report.Proofs = slices.Concat(proofs...)
	for _, p := range w.report.Proofs {
		w.report.Clipped += p.Clipped
	}
	for k, f := range w.laid.files {
		if f.part.report != nil {
			f.part.report(w.Job, f.items, proofs[k], w.report)
		}
	}
	return nil
}

// sound writes and proves one file.
func (w *writer) sound(f *partFile, step stepped) ([]Proof, error) {
	at := fileAt{w.dir, f.name}
	clipped, err := f.part.write(w.Job, f.items, at, step)
	if err != nil {
		return nil, err
	}
	return f.part.prove(w.Job, f.items, at, clipped, step)
}
