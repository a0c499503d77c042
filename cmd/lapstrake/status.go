// Status: what the player does now, in one line of text that fits.

package main

import (
	"fmt"
	"math/bits"
	"slices"
	"strings"

	"lapstrake/mapping"
)

// status is what the line shows, and the screen.
type status struct {
	screenful
	held         [2]uint64 // by hand, latch or pedal; key k is bit k%64 of word k/64
	naming       mapping.Naming
	voices       int
	dynamics     int     // 0 to 127
	volumeDB     float64 // of the volume controllers; silence is -Inf or very low
	outputDB     float64 // as set by hand; shown unless 0
	peakDBFS     float64 // highest sample since the last status
	reductionDB  float64 // most that the ceiling has taken off since the last status
	loadPercent  int     // of a block's time, the median of the last seconds
	worstLoad    int     // of the worst block of them
	underruns    int64   // blocks that came late for the device
	misses       int64   // reads that came late for a voice
	readErrors   int64   // reads that failed; shown unless 0
	stolen       int64   // notes cut short or not begun, for want of voices; shown unless 0
	recording    bool
	recordedSec  float64
	recordGaps   int64 // frames that the recording lacks
	latch        bool
	building     bool
	builtPercent int // of a build that is under way
}

// field is a part of the line; those of the least weight go first where the line is too long.
type field struct {
	text   string
	weight int
}

// text is the status in at most width columns, ASCII only, with the level's peak as held. Fields
// keep their places and widths while figures change; the keys, which change most, come last and
// take the room that is left.
func (s *status) text(width int, holdDBFS float64) string {
	fields := s.fields(holdDBFS)
	keys := field{s.keys(fewestKeys), 7}
	fields = append(fields, keys)
	for len(fields) > 0 && lineWidth(fields) > width {
		least := 0
		for i, f := range fields {
			if f.weight <= fields[least].weight {
				least = i
			}
		}
		fields = slices.Delete(fields, least, least+1)
	}
	if last := len(fields) - 1; last >= 0 && fields[last] == keys {
		for most := mostKeys; most >= fewestKeys; most-- {
			if fields[last].text = s.keys(most); lineWidth(fields) <= width {
				break
			}
		}
	}
	return strings.TrimRight(joinFields(fields), " ")
}

const (
	fieldGap   = "  "
	mostKeys   = 12 // named at once
	fewestKeys = 2  // named wherever keys are shown
)

func joinFields(fields []field) string {
	texts := make([]string, len(fields))
	for i, f := range fields {
		texts[i] = f.text
	}
	return strings.Join(texts, fieldGap)
}

// lineWidth is in columns, one a byte.
func lineWidth(fields []field) int { return len(joinFields(fields)) }

// fields are all but the keys, as they stand on the line. Faults weigh more than figures.
func (s *status) fields(holdDBFS float64) []field {
	fields := []field{
		{meter(lineMeterCells, s.peakDBFS, holdDBFS), 5},
		{decibelText(holdDBFS) + " dBFS", 9},
		{fmt.Sprintf("dynamics %3d", s.dynamics), 6},
		{"volume " + decibelText(s.volumeDB) + " dB", 4},
		{fmt.Sprintf("voices %3d", s.voices), 3},
		{fmt.Sprintf("load %3d %%, worst %3d %%", s.loadPercent, s.worstLoad), heavier(s.worstLoad >= 80, 2)},
		{fmt.Sprintf("underruns %d", s.underruns), heavier(s.underruns > 0, 1)},
		{fmt.Sprintf("late reads %d", s.misses), heavier(s.misses > 0, 1)},
	}
	if s.reductionDB >= leastReductionDB {
		fields = append(fields, field{fmt.Sprintf("ceiling -%.1f dB", s.reductionDB), 5})
	}
	if s.readErrors > 0 {
		fields = append(fields, field{fmt.Sprintf("read errors %d", s.readErrors), 8})
	}
	if s.stolen > 0 {
		fields = append(fields, field{fmt.Sprintf("stolen %d", s.stolen), 5})
	}
	if s.outputDB != 0 {
		fields = append(fields, field{fmt.Sprintf("output %+.0f dB", s.outputDB), 5})
	}
	if s.recording {
		text := "recorded " + clock(s.recordedSec)
		if s.recordGaps > 0 {
			text += " with gaps"
		}
		fields = append(fields, field{text, 10})
	}
	if s.building {
		fields = append(fields, field{fmt.Sprintf("rebuilding %2d %%", s.builtPercent), 8})
	}
	if s.nudged != "" {
		fields = append(fields, field{s.nudged, 8})
	}
	if s.latch {
		fields = append(fields, field{"latch", 11})
	}
	return fields
}

// leastReductionDB is the least that is worth telling: what shows as 0.1 dB.
const leastReductionDB = 0.05

// heavier is weight, or that of a fault where there is one.
func heavier(fault bool, weight int) int {
	if fault {
		return 8
	}
	return weight
}

// keys names the first most keys held, upwards, and counts the others.
func (s *status) keys(most int) string {
	count := bits.OnesCount64(s.held[0]) + bits.OnesCount64(s.held[1])
	var names []string
	for key := range mapping.HighestKey + 1 {
		if s.held[key/64]>>(key%64)&1 == 1 && len(names) < most {
			names = append(names, s.naming.Name(key))
		}
	}
	if count > most {
		names = append(names, fmt.Sprintf("and %d more", count-most))
	}
	return strings.Join(names, " ")
}

const (
	lineMeterCells = 12
	lowestDBFS     = -60.0
)

// meter is a bar of so many cells from -60 to 0 dBFS with a mark where the peak was held; a cell is full from its
// lower end on.
func meter(cells int, peakDBFS, holdDBFS float64) string {
	bar := make([]byte, cells)
	cellDB := -lowestDBFS / float64(cells)
	for i := range bar {
		lowerDBFS := cellDB * float64(i-cells)
		switch {
		case peakDBFS >= lowerDBFS:
			bar[i] = '='
		case holdDBFS >= lowerDBFS && (holdDBFS < lowerDBFS+cellDB || i == cells-1):
			bar[i] = '|'
		default:
			bar[i] = ' '
		}
	}
	return "[" + string(bar) + "]"
}

// lowestTextDB is the lowest level that has room in five columns; what is softer counts as silence.
const lowestTextDB = -99.9

// decibelText is always five columns wide.
func decibelText(db float64) string {
	if !(db >= lowestTextDB) {
		return " -inf"
	}
	return fmt.Sprintf("%5.1f", db)
}

// clock writes seconds as a recorder's counter does.
func clock(sec float64) string {
	whole := int64(sec)
	if whole < 3600 {
		return fmt.Sprintf("%d:%02d", whole/60, whole%60)
	}
	return fmt.Sprintf("%d:%02d:%02d", whole/3600, whole/60%60, whole%60)
}
