// Measuring many takes on all processors, without holding more of them in memory than fits.

package takes

import (
	"cmp"
	"context"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/sync/semaphore"

	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/work"
)

// measuring finds out what is in each file.
type measuring struct {
	folder   string
	files    []takeFile
	sheet    *Sheet           // as it was before
	tally    *work.Tally      // of bytes
	measured int              // how many were not known, and can be read
	open     map[content]bool // what was not measured when the context ended
}

func newMeasuring(folder string, files []takeFile, sheet *Sheet, progress func(part float64)) *measuring {
	totalBytes := 0.0
	for i := range files {
		totalBytes += float64(files[i].bytes) * (1 + hashCost)
	}
	return &measuring{folder: folder, files: files, sheet: sheet, tally: work.NewTally(totalBytes, progress)}
}

// measuredTake is what the sheet says of a content.
type measuredTake struct {
	measure.Measures
	layer, strand string         // as suggested before; "" when just measured
	flags         []measure.Flag // those of the file
	problem       string
}

// hashCost is how long hashing takes, measuring the same bytes being 1.
const hashCost = 0.03

// measuredTakes are the results by content, or by path, as if that were the hash, for a file that cannot be hashed.
type measuredTakes map[content]*measuredTake

// of finds what was measured on a stretch of a file. The sheet may name a stretch since measuring began.
func (r measuredTakes) of(file takeFile, s Stretch) *measuredTake {
	if file.hash == "" {
		return r[content{hash: file.path}]
	}
	if result := r[content{file.hash, s}]; result != nil {
		return result
	}
	return unreadableTake("this stretch is not measured yet: run `lapstrake intake` again")
}

// unmeasured is a stretch of a file of which nothing is known.
type unmeasured struct {
	takeFile
	Stretch
	share float64 // of the work that the file makes
}

func (u unmeasured) content() content { return content{u.hash, u.Stretch} }

// run hashes all files and measures each content that is not known, once. A file that cannot be read is no error, but
// a problem in its rows; the only error is that of an
// ended ctx, with which the results are those so far, or nil.
func (m *measuring) run(ctx context.Context) (measuredTakes, error) {
	unreadable := make([]string, len(m.files))
	err := work.Each(ctx, len(m.files), func(_ context.Context, i int) error {
		file := &m.files[i]
		hash, err := decode.Hash(m.place(*file))
		if file.hash = hash; err != nil {
			unreadable[i] = m.problem(*file, err)
		}
		m.tally.Add(float64(file.bytes) * hashCost)
		return nil
	})
	if err != nil {
		return nil, err
	}
	results := measuredTakes{}
	var fresh []unmeasured
	known, rowOf, rows := m.sheet.measuredRows(), m.sheet.match(m.files), m.sheet.rowsByPath()
	for i, file := range m.files {
		if unreadable[i] != "" {
			results[content{hash: file.path}] = unreadableTake(unreadable[i])
			m.tally.Add(float64(file.bytes))
			continue
		}
		stretches := []Stretch{{}}
		if rowOf[i] >= 0 {
			stretches = nil
			for _, at := range rows[m.sheet.Rows[rowOf[i]].Path] {
				stretches = append(stretches, m.sheet.Rows[at].Stretch)
			}
		}
		for _, stretch := range stretches {
			take := unmeasured{file, stretch, 1 / float64(len(stretches))}
			row, isKnown := known[take.content()]
			switch {
			case results[take.content()] != nil:
			case isKnown:
				results[take.content()] = knownTake(row)
			default:
				results[take.content()] = &measuredTake{}
				fresh = append(fresh, take)
				continue
			}
			m.tally.Add(float64(file.bytes) * take.share)
		}
	}
	err = m.measure(ctx, fresh, results)
	for _, take := range fresh {
		if !m.open[take.content()] && results[take.content()].problem == "" {
			m.measured++
		}
	}
	return results, err
}

// measure fills in the results of fresh. The largest come first, so that the last one to end is small.
func (m *measuring) measure(ctx context.Context, fresh []unmeasured, results measuredTakes) error {
	slices.SortStableFunc(fresh, func(a, b unmeasured) int { return cmp.Compare(b.bytes, a.bytes) })
	room := semaphore.NewWeighted(memoryBytes)
	done := make([]bool, len(fresh))
	err := work.Each(ctx, len(fresh), func(ctx context.Context, i int) error {
		need := fresh[i].need()
		if err := room.Acquire(ctx, need); err != nil {
			return err
		}
		defer room.Release(need)
		*results[fresh[i].content()] = *m.measureFile(fresh[i])
		done[i] = true
		m.tally.Add(float64(fresh[i].bytes) * fresh[i].share)
		return nil
	})
	m.open = map[content]bool{}
	for i, take := range fresh {
		if !done[i] {
			m.open[take.content()] = true
		}
	}
	return err
}

// measureFile decodes a file and measures a stretch of it.
func (m *measuring) measureFile(file unmeasured) *measuredTake {
	measures, sound, err := measure.File(m.place(file.takeFile), file.Span())
	if err != nil {
		return unreadableTake(m.problem(file.takeFile, err))
	}
	row := Row{Measures: measures}
	row.roundMeasures()
	take := &measuredTake{Measures: row.Measures}
	for _, f := range []struct {
		flag measure.Flag
		is   bool
	}{{CutShort, sound.Truncated}, {Damaged, sound.Damaged}, {NotNumbers, sound.NotFinite}} {
		if f.is {
			take.flags = append(take.flags, f.flag)
		}
	}
	return take
}

// place is where the file system finds a take.
func (m *measuring) place(file takeFile) string {
	return filepath.Join(m.folder, filepath.FromSlash(file.path))
}

// problem is an error in one line for the sheet, whose take column names the file: the same wherever the
// project lies.
func (m *measuring) problem(file takeFile, err error) string {
	text, place := err.Error(), m.place(file)
	if whole, err := filepath.Abs(place); err == nil {
		text = strings.ReplaceAll(text, whole, file.path)
	}
	text = strings.ReplaceAll(text, place, file.path)
	return strings.Join(strings.Fields(strings.TrimPrefix(text, file.path+": ")), " ")
}

func unreadableTake(problem string) *measuredTake {
	return &measuredTake{Measures: NewRow("").Measures, problem: problem}
}

func knownTake(row *Row) *measuredTake {
	take := &measuredTake{Measures: row.Measures, layer: row.SuggestedLayer, strand: row.SuggestedStrand}
	for _, flag := range row.Flags {
		if ofFile(flag) {
			take.flags = append(take.flags, flag)
		}
	}
	return take
}

// memoryBytes is how much decoded sound may be in memory at once; what is larger is measured alone.
const memoryBytes = 256 << 20

// need is how much of the memory a file's measuring takes: its samples, their mean, and as much again for spectra.
func (f takeFile) need() int64 {
	return min(2*min(f.decodedBytes(), measure.MostBytes), memoryBytes)
}

// decodedBytes guesses how much a file takes decoded, from above: 16-bit samples become 32-bit
// floats, lossless coding halves at best what is no silence, and lossy coding is seldom below
// 64 kbit/s a channel.
func (f takeFile) decodedBytes() int64 {
	switch strings.ToLower(path.Ext(f.path)) {
	case ".wav", ".aif", ".aiff", ".aifc":
		return 2 * f.bytes
	case ".flac":
		return 5 * f.bytes
	}
	return 24 * f.bytes
}
