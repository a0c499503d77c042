// Write: the whole export, in place or not at all.

package export

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"sync"
	"time"

	"golang.org/x/sync/errgroup"

	"lapstrake/mapping/export/dls"
	"lapstrake/mapping/whole"
)

// Report is what an export wrote.
type Report struct {
	Output    string      `json:"output"`
	Files     int         `json:"files"`
	SizeBytes int64       `json:"bytes"`
	Proofs    []Proof     `json:"proofs"`          // of every file of a set and every cycle of the bank, in their order
	Clipped   int64       `json:"clipped_samples"` // of the sets and the bank
	Bank      *BankReport `json:"bank,omitempty"`
	Takes     int         `json:"credited_takes"`
	Names     []string    `json:"credited"`
}

// BankReport is what a bank holds.
type BankReport struct {
	SizeBytes int64    `json:"bytes"`
	Clipped   int64    `json:"clipped_samples"`
	Programs  []string `json:"programs"`
	GaveUp    []string `json:"gave_up"`
}

// leftOverTime is how long nobody has written to what an export left that was killed.
const leftOverTime = 10 * time.Minute

// Write writes the export to the folder out, which appears whole or not at all; replace lets it take the place of
// an earlier one (see CheckTarget). Everything is read back and compared before it is put in place. It ends early, with the
// context's error, when ctx does.
func (j *Job) Write(ctx context.Context, out string, replace bool) (*Report, error) {
	_, err := os.Stat(out)
	replace = replace && err == nil // what appears meanwhile is not ours to replace
	w := &writer{Job: j, ctx: ctx, report: &Report{Output: out, Names: []string{}}}
	if err := w.plan(); err != nil {
		return nil, err
	}
	if err := checkSpace(out, w.needed); err != nil {
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
	w.dir = folder.Temp()
	if err := w.fill(); err != nil {
		return nil, w.withoutTemp(err)
	}
	if replace { // it may have been written to since
		if err := checkReplaceable(out, folder.Target()); err != nil {
			return nil, err
		}
	}
	return w.report, folder.Commit(replace)
}

// fill writes all files.
func (w *writer) fill() (err error) {
	if err := w.sounds(); err != nil {
		return err
	}
	if err := w.texts(); err != nil {
		return err
	}
	w.report.Files, w.report.SizeBytes, err = writeChecksums(w.dir)
	return err
}

// writer is one export under way.
type writer struct {
	*Job
	ctx    context.Context
	dir    string
	items  []Item
	bank   *bankLayout
	report *Report

	needed int64 // bytes on the disk
	frames int64 // to be read, in all
	done   int64
	lock   sync.Mutex // of done and what is told of it
}

// plan lays everything out and counts what it takes.
func (w *writer) plan() (err error) {
	if w.items, err = w.Job.items(); err != nil {
		return err
	}
	frameBytes := int64(2 * w.Format.Encoding().Bytes())
	const otherBytes = 8192 // of a file beside its sound
	for i := range w.items {
		for _, set := range []struct {
			wanted bool
			passes int64
		}{{w.Parts.WAV, 3}, {w.Parts.AIFF, 2}} {
			if set.wanted {
				w.needed += w.items[i].Frames()*frameBytes + otherBytes
				w.frames += w.items[i].Frames() * set.passes
			}
		}
	}
	if !w.Parts.Bank {
		return nil
	}
	items, err := w.bankItems(w.Variant)
	if err != nil {
		return err
	}
	w.bank = w.layBank(items, w.Variant.bits())
	if err := dls.Check(&w.bank.Bank); err != nil {
		return fmt.Errorf("%s: %w", bankFile, err)
	}
	w.needed += dls.SizeBytes(&w.bank.Bank)
	for i := range w.bank.items {
		w.frames += 2*w.bank.items[i].Frames() + 2*dls.GuardFrames
	}
	return nil
}

// stepped is told of frames that were read; an error ends the export.
type stepped func(frames int) error

// step tells how far the export has come.
func (w *writer) step(frames int) error {
	w.lock.Lock()
	defer w.lock.Unlock()
	w.done += int64(frames)
	if w.Progress != nil {
		w.Progress(float64(w.done) / float64(w.frames))
	}
	return w.ctx.Err()
}

// sounds writes and proves the sets and the bank, on all processors; the first that fails ends the others.
func (w *writer) sounds() error {
	var tasks []func() ([]Proof, error)
	if w.Parts.Bank {
		tasks = append(tasks, w.writeBank) // the longest first
	}
	for _, set := range w.sets() {
		if err := os.Mkdir(filepath.Join(w.dir, set.folder), 0o777); err != nil {
			return err
		}
		for i := range w.items {
			tasks = append(tasks, func() ([]Proof, error) { return w.writeItem(&w.items[i], set) })
		}
	}
	proofs := make([][]Proof, len(tasks))
	var work *errgroup.Group
	work, w.ctx = errgroup.WithContext(w.ctx)
	work.SetLimit(runtime.NumCPU())
	for i, task := range tasks {
		work.Go(func() (err error) {
			if err = w.ctx.Err(); err == nil {
				proofs[i], err = task()
			}
			return err
		})
	}
	if err := work.Wait(); err != nil {
		return err
	}
	w.report.Proofs = slices.Concat(proofs...)
	for _, p := range w.report.Proofs {
		w.report.Clipped += p.Clipped
	}
	return nil
}

func (w *writer) writeItem(i *Item, set fileSet) ([]Proof, error) {
	name := set.folder + "/" + i.Name + set.ending
	path := filepath.Join(w.dir, filepath.FromSlash(name))
	if set.folder == aiffFolder {
		clipped, err := w.writeAIFF(i, path, w.step)
		if err != nil {
			return nil, err
		}
		p, err := w.proveAIFF(i, w.dir, name, clipped, w.step)
		return []Proof{p}, err
	}
	m, err := i.measure(w.step)
	if err != nil {
		return nil, err
	}
	clipped, err := w.writeWAV(i, path, m, w.step)
	if err != nil {
		return nil, err
	}
	p, err := w.proveWAV(i, w.dir, name, m, clipped, w.step)
	return []Proof{p}, err
}

func (w *writer) writeBank() ([]Proof, error) {
	clipped, err := w.bank.write(filepath.Join(w.dir, bankFile), w.step)
	if err != nil {
		return nil, err
	}
	proofs, err := w.bank.prove(w.dir, bankFile, clipped, w.step)
	if err != nil {
		return nil, err
	}
	w.report.Bank = &BankReport{SizeBytes: dls.SizeBytes(&w.bank.Bank), GaveUp: append([]string{}, w.Variant.GaveUp...)}
	for _, count := range clipped {
		w.report.Bank.Clipped += count
	}
	for _, p := range w.bank.Programs {
		w.report.Bank.Programs = append(w.report.Bank.Programs, fmt.Sprintf("%d: %s", p.Number, p.Name))
	}
	return proofs, nil
}
