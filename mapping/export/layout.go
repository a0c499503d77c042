// Layout: every file that the parts of an export consist of, before any is written.

package export

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// layout is what an export will write, and what that takes.
type layout struct {
	items       []Item     // of the sets
	files       []partFile // of all parts, those of many items first
	neededBytes int64      // on the disk
	readFrames  int64      // of the cycles, to write and prove all files
}

// partFile is one file of a part.
type partFile struct {
	part  *part
	name  string // from the export's folder, with forward slashes
	items []Item // that it holds
}

// longest is how long the file takes, roughly, in items.
func (f *partFile) longest() int {
	if f.part.beside != nil { // what is played, not copied
		return math.MaxInt
	}
	return len(f.items)
}

// layOut finds the files of all parts and adds up what they take.
func (j *Job) layOut() (l layout, err error) {
	if err := j.checkParts(); err != nil {
		return l, err
	}
	if l.items, err = j.items(); err != nil {
		return l, err
	}
	for _, p := range j.chosen() {
		files, err := p.files(j, l.items)
		if err != nil {
			return l, err
		}
		l.files = append(l.files, files...)
	}
	for _, f := range l.files {
		size, err := f.part.sizeBytes(j, f.items)
		if err != nil {
			return l, fmt.Errorf("%s: %w", f.name, err)
		}
		l.neededBytes += size
		for i := range f.items {
			l.readFrames += f.part.readFrames(f.items[i].Frames())
		}
	}
	if len(j.folders()) > 0 { // to measure
		for i := range l.items {
			l.readFrames += l.items[i].Frames()
		}
	}
	// One processor works on a file: the longest comes first, so that the others do not wait for it at the end.
	slices.SortStableFunc(l.files, func(a, b partFile) int { return cmp.Compare(b.longest(), a.longest()) })
	return l, nil
}

// checkParts refuses parts that are not in the table, and those that cannot hold samples of the job's format.
func (j *Job) checkParts() error {
	if err := j.Parts.check(); err != nil {
		return fmt.Errorf("parts of an export: %w", err)
	}
	if refusing := j.Parts.Refusing(j.Format); refusing != nil {
		return fmt.Errorf("%s: holds no floats; choose 16 or 24 bits, or leave that part out", refusing[0])
	}
	return nil
}

// files lists the files of a part: one for each item of the sets, or one for all that it holds.
func (p *part) files(j *Job, items []Item) (files []partFile, err error) {
	if p.several != nil {
		return p.several(p, j)
	}
	if !p.isFolder() {
		held, err := p.items(j)
		return []partFile{{p, p.place, held}}, err
	}
	for i := range items {
		files = append(files, partFile{p, p.fileName(&items[i]), items[i : i+1]})
	}
	return files, nil
}

// setFileBytes is at most how large a file of one item becomes at the job's format.
func (j *Job) setFileBytes(items []Item) (int64, error) {
	const besideSoundBytes = 8192
	return items[0].Frames()*int64(items[0].Cycle.channels()*j.Format.Encoding().Bytes()) + besideSoundBytes, nil
}
