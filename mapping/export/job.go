// Job: what is to be exported, and how.

package export

import (
	"time"

	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/export/credits"
	"lapstrake/mapping/wav"
)

// Source gives the frames of an endless cycle. ReadFrames fills dst with len(dst)/2 interleaved stereo frames from
// frame pos on. Several goroutines may call it.
type Source interface {
	ReadFrames(dst []float32, pos int64) error
}

// Cycle is the cycle of one zone and layer, as the player plays it.
type Cycle struct {
	mapping.CycleLength
	Source
	Mono   bool    // all its beds have one channel: both sides of its frames are alike
	Begins []int64 // frame at which each strand begins to sound alone, in the map's order of strands; nil: not known
}

// channels is how many its files have.
func (c *Cycle) channels() int {
	if c.Mono {
		return 1
	}
	return 2
}

// Cycles finds the cycle of a zone and a layer by their indices in the map.
type Cycles func(zone, layer int) Cycle

// Starts says how many starts of each zone are written.
type Starts string

// FirstStart writes one file for each zone and layer, from the start that the map gives the first press of the zone's
// lowest key. AllStarts writes a file for each start.
const (
	FirstStart Starts = "first"
	AllStarts  Starts = "all"
)

// Job is an export: the parts that Parts names, and always instructions, checksums and, where there are any, credits.
type Job struct {
	Map     *mapping.Map
	Cycles  Cycles
	Title   string           // of the instrument
	Artist  string           // who made it; may be empty
	Credits *credits.Credits // nil: nobody is known, no credits are written
	// that files say they are of; zero: they say none, so that the same export gives the same bytes
	Date time.Time

	Parts    Parts
	Starts   Starts
	Format   wav.Format // of the set; AIFF has no Float
	Variant  Variant    // of the bank
	Sets     Variant    // that MakeSets was given
	Progress func(part float64)

	Page  Variant      // of the part Page
	Stems []beds.Stems // of the map's beds, for the part Page; nil: it names nobody

	Performance *Performance // of the part Tried; nil: it cannot be written
}

// The files that an export has beside those of its parts.
const (
	keyMapCSV     = "keymap.csv"
	keyMapJSON    = "keymap.json"
	keyMapSchema  = "keymap.schema.json"
	dynamicsCSV   = "dynamics.csv"
	howToFile     = "HOWTO.txt"
	creditsText   = "CREDITS.txt"
	creditsCSV    = "CREDITS.csv"
	checksumsFile = "SHA256SUMS"
)

// textFiles are those of them that SHA256SUMS lists.
var textFiles = []string{keyMapCSV, keyMapJSON, keyMapSchema, dynamicsCSV, howToFile, creditsText, creditsCSV}

// software is how files name the program that wrote them.
const software = "lapstrake"
