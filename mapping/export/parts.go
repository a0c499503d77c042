// The table of parts: each format that an instrument is exported in is one row. A new format needs a writer, a proof,
// a test and a row here; everything else walks the table.

package export

import (
	"lapstrake/mapping/compare"
	"lapstrake/mapping/export/dls"
)

// The names of the parts.
const (
	WAV   = "wav"
	AIFF  = "aiff"
	FLAC  = "flac"
	Bank  = "bank"
	RMID  = "rmid"
	Tried = "proof"
	Page  = "page"
)

// part is a row of the table. A part is either a folder with a file for each item, or one file for all its items.
type part struct {
	name    string // by which Parts holds it
	title   string // by which texts name it
	usual   bool   // written unless the user names other parts
	integer bool   // its samples are whole numbers: it cannot hold wav.Float

	place   string   // the folder of its files; where ending is "", its only file
	ending  string   // of the files in its folder
	chunks  string   // of a folder: in which chunks of its files a player finds root, loop and keys
	content string   // of an only file: what HOWTO.txt says it holds
	beside  []string // of an only file in a folder of its own: the files that it writes beside it
	within  string   // a folder in that folder, whose files are scripts

	// of a part that is neither a folder nor an only file: its files
	several func(*part, *Job) ([]partFile, error)
	// of an only file: what it is written from; a folder has all of the sets
	items func(*Job) ([]Item, error)
	// of the file of some items; an error says that it cannot be written
	sizeBytes  func(*Job, []Item) (int64, error)
	readFrames func(frames int64) int64             // that write and prove read of an item of so many frames
	write      writeFile                            // writes one file
	prove      proveFile                            // reads that file back
	section    sectionText                          // nil: HOWTO.txt has no section of its own for it
	report     func(*Job, []Item, []Proof, *Report) // nil: the report has nothing of its own for it
}

// parts is the table, in the order in which texts list the parts.
var parts = []part{
	{
		name: WAV, title: "WAV", usual: true, place: "wav", ending: ".wav", chunks: "smpl, inst, cue",
		sizeBytes:  (*Job).setFileBytes,
		readFrames: twice, // to write and prove
		write:      writeOne((*Job).writeWAV), prove: proveOne((*Job).proveWAV),
	},
	{
		name: AIFF, title: "AIFF", integer: true, place: "aiff", ending: ".aiff", chunks: "INST, MARK, COMT",
		sizeBytes:  (*Job).setFileBytes,
		readFrames: twice, // to write and prove
		write:      writeOne((*Job).writeAIFF), prove: proveOne((*Job).proveDecoded),
	},
	{
		name: FLAC, title: "FLAC", integer: true, place: "flac", ending: ".flac",
		chunks:     "tags ROOT_KEY, LOOPSTART, LOOPLENGTH",
		sizeBytes:  (*Job).flacBytes,
		readFrames: twice, // to write and prove
		write:      writeOne((*Job).writeFLAC), prove: proveOne((*Job).proveDecoded),
	},
	{
		name: Bank, title: "bank", usual: true, place: "bank.dls", content: "all cycles in one file: see below",
		items: (*Job).bankItems, sizeBytes: (*Job).bankBytes,
		// to write, and to prove with its guards
		readFrames: func(frames int64) int64 { return 2*frames + 2*dls.GuardFrames },
		write:      (*Job).writeBank, prove: (*Job).proveBank,
		section: (*Job).bankSection, report: (*Job).reportBank,
	},
	{
		name: RMID, title: "RMID", place: "bank.rmi", content: "a score and the bank that plays it, in one file",
		items: (*Job).bankItems, sizeBytes: (*Job).rmidBytes,
		readFrames: func(frames int64) int64 { return 2*frames + 2*dls.GuardFrames }, // as the bank's
		write:      (*Job).writeRMID, prove: (*Job).proveRMID,
	},
	{
		name: Tried, title: "proof", usual: true, place: "proof/" + renderFile,
		beside:  []string{scoreFile, compare.ExpectedFile},
		content: "how proof/score.mid sounds; expected.json has its levels",
		items:   func(*Job) ([]Item, error) { return nil, nil }, sizeBytes: (*Job).performanceBytes,
		write: (*Job).writePerformance, prove: (*Job).provePerformance,
		section: (*Job).performanceSection,
	},
	{
		name: Page, title: "page", place: pageFolder + "/" + pageFile,
		beside: []string{pageStyle, pageScript, pagePlayer, pageTold, pageHeard}, within: pageSounds,
		content: "plays the instrument: open it in a browser",
		several: (*part).pageFiles, sizeBytes: (*Job).pageBytes, readFrames: twice,
		write: (*Job).writePage, prove: (*Job).provePage,
	},
}

func twice(frames int64) int64 { return 2 * frames }

// writeFile writes the file of some items and returns how many samples of each item it clipped.
type writeFile func(j *Job, items []Item, at fileAt, step stepped) (clipped []int64, err error)

// proveFile reads the file of some items back and compares it with their source: a proof for each item.
type proveFile func(j *Job, items []Item, at fileAt, clipped []int64, step stepped) ([]Proof, error)

// sectionText is a part's own section of HOWTO.txt. shared holds the values that all sections may use.
type sectionText func(j *Job, items []Item, shared map[string]any) (string, error)

// writeOne makes a writeFile of a writer of one item.
func writeOne(write func(j *Job, i *Item, path string, step stepped) (clipped int64, err error)) writeFile {
	return func(j *Job, items []Item, at fileAt, step stepped) ([]int64, error) {
		clipped, err := write(j, &items[0], at.path(), step)
		return []int64{clipped}, err
	}
}

// proveOne makes a proveFile of a proof of one item.
func proveOne(prove func(j *Job, i *Item, at fileAt, clipped int64, step stepped) (Proof, error)) proveFile {
	return func(j *Job, items []Item, at fileAt, clipped []int64, step stepped) ([]Proof, error) {
		proof, err := prove(j, &items[0], at, clipped[0], step)
		return []Proof{proof}, err
	}
}
