// The screen: all that play shows, in lines of fixed places at the foot of a terminal.

package main

import (
	"fmt"
	"strings"
	"unicode"

	"golang.org/x/text/width"
)

// screenful is what the screen shows beyond the status line.
type screenful struct {
	layers        []layerShare
	lateEvents    int64 // heard later than all others
	lostEvents    int64
	transposed    int // semitones
	heldKeys      []heldKey
	mostZones     int // of a key of the map
	picks         string
	chordReturn   string
	against       string // how two maps stand against each other; "" with one
	nudged        string // the zone that keys nudge; "" before they do
	tried         int    // zones that are not as in the map's file
	recordingPath string
}

// layerShare is how much of the sound's power is a layer's.
type layerShare struct {
	name    string
	percent int
}

// heldKey is a key that something keeps sounding.
type heldKey struct {
	key     int
	name    string
	courses []course
	who     []string // contributors that stand out there, the loudest first
}

const (
	leastColumns = 80
	figureRows   = 8
	loudnessRows = 2 // the first ones
	messageRows  = 5 // left to the messages above
	mostKeyRows  = 10
	labelColumns = 11
	nudgeColumns = 32

	leastMeterCells = 20
	mostMeterCells  = 60
)

// keyRowsIn is how many keys there is room for; 0 says that the screen does not fit, and one line has to do.
func (s *status) keyRowsIn(columns, rows int) int {
	if columns < leastColumns {
		return 0
	}
	return min(max(rows-len(s.rareLines())-figureRows-messageRows, 0), mostKeyRows)
}

// screenLines are all lines, none wider than columns, for a screen of rows keys. Each figure keeps its place and
// width.
func (s *status) screenLines(columns int, held []*heldKey, more int, holdDBFS float64) []string {
	cells := min(max(columns-labelColumns-40, leastMeterCells), mostMeterCells)
	lines := []string{
		label("level") + meter(cells, s.peakDBFS, holdDBFS) + " " + decibelText(holdDBFS) + " dBFS   ceiling " +
			decibelText(0-s.reductionDB) + " dB",
		label("dynamics") + bar(cells, float64(s.dynamics)/127) + fmt.Sprintf("   %3d", s.dynamics) +
			s.sharesIn(columns-labelColumns-cells-8),
		label("volume") + decibelText(s.volumeDB) + " dB   output " + fmt.Sprintf("%+3.0f dB", s.outputDB) +
			fmt.Sprintf("   transposed %+3d", s.transposed) + onlyIf(s.latch, "   latch"),
		label("voices") + figure(int64(s.voices)) + "   stolen " + figure(s.stolen) +
			fmt.Sprintf("   load %3d %%, worst %3d %%", min(s.loadPercent, 999), min(s.worstLoad, 999)) +
			onlyIf(s.building, fmt.Sprintf("   rebuilding %3d %%", s.builtPercent)),
		label("underruns") + figure(s.underruns) + "  late reads " + figure(s.misses) + "  late " +
			figure(s.lateEvents) + "  lost " + figure(s.lostEvents) + "  read errors " + figure(s.readErrors),
	}
	lines = append(append(lines, s.rareLines()...),
		label("return")+s.chordReturn,
		label("sounding")+s.picks,
		label("recording")+s.recordingText(),
	)
	for _, key := range held {
		line := ""
		if key != nil {
			line = key.line(columns, s.mostZones)
		}
		lines = append(lines, line)
	}
	if more > 0 {
		lines[len(lines)-1] = fmt.Sprintf("and %d keys more", more)
	}
	for i, line := range lines {
		lines[i] = fitted(strings.TrimRight(line, " "), columns)
	}
	return lines
}

// rareLines tell of two maps, where there are two, and of the zone that is nudged, where one is.
func (s *status) rareLines() (lines []string) {
	if s.against != "" {
		lines = append(lines, label("maps")+s.against)
	}
	if s.nudged != "" {
		lines = append(lines, label("nudge")+padded(s.nudged, nudgeColumns)+
			onlyIf(s.tried > 0, count(s.tried, "zone")+" tried; t takes back, k keeps"))
	}
	return lines
}

func label(text string) string { return padded(text, labelColumns) }

// sharesIn tells of the layers that sound, as many as there is room for.
func (s *status) sharesIn(columns int) (text string) {
	for _, layer := range s.layers {
		next := fmt.Sprintf("   %s %3d %%", layer.name, layer.percent)
		if columnsOf(text)+columnsOf(next) > columns {
			break
		}
		text += next
	}
	return text
}

func (s *status) recordingText() string {
	if !s.recording {
		return "off"
	}
	return fmt.Sprintf("%8s", clock(s.recordedSec)) + onlyIf(s.recordGaps > 0, "   with gaps") +
		"   " + s.recordingPath
}

func onlyIf(holds bool, text string) string {
	if holds {
		return text
	}
	return ""
}

// figure is a number that is always five columns wide.
func figure(n int64) string {
	if n > 99999 {
		return ">" + "1e5 "
	}
	return fmt.Sprintf("%5d", n)
}

// bar is filled from the left.
func bar(cells int, part float64) string {
	full := min(max(int(part*float64(cells)+0.5), 0), cells)
	return "[" + strings.Repeat("=", full) + strings.Repeat(" ", cells-full) + "]"
}

const (
	keyColumns   = 5
	rootColumns  = 5
	afterCourse  = 2
	leastWho     = 24 // columns
	leastCells   = 8  // of a course
	mostCells    = 40
	moreZonesFor = 4 // columns of "+12 "
)

// line shows a key: its zones, where their cycles stand, and who stands out there.
func (k *heldKey) line(columns, mostZones int) string {
	who := max(leastWho, columns/3)
	zones := max(mostZones, 1)
	room := columns - keyColumns - who
	for zones > 1 && room/zones-rootColumns-afterCourse < leastCells {
		zones--
	}
	if zones < mostZones {
		room -= moreZonesFor
	}
	cells := min(room/zones-rootColumns-afterCourse, mostCells)
	line := padded(k.name, keyColumns)
	for i := range zones {
		if i < len(k.courses) {
			line += padded(k.courses[i].root, rootColumns) + k.courses[i].draw(cells) +
				strings.Repeat(" ", afterCourse)
		} else {
			line += strings.Repeat(" ", rootColumns+cells+afterCourse)
		}
	}
	if zones < mostZones {
		more := len(k.courses) - zones
		line += padded(onlyIf(more > 0, fmt.Sprintf("+%d", more)), moreZonesFor)
	}
	return line + listed(k.who, columns-columnsOf(line))
}

// listed joins as many whole names as there is room for.
func listed(names []string, columns int) (text string) {
	for _, name := range names {
		next := text
		if next != "" {
			next += ", "
		}
		if next += printable(name); columnsOf(next) > columns {
			break
		}
		text = next
	}
	return text
}

// columnsOf is how wide a terminal draws a text: East Asian wide characters take two columns (Unicode annex 11), marks
// that combine with the character before them none.
func columnsOf(text string) (columns int) {
	for _, r := range text {
		switch kind := width.LookupRune(r).Kind(); {
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		case kind == width.EastAsianWide || kind == width.EastAsianFullwidth:
			columns += 2
		default:
			columns++
		}
	}
	return columns
}

// printable is a name without what would move the cursor.
func printable(name string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return ' '
		}
		return r
	}, name)
}

func padded(text string, columns int) string {
	return text + strings.Repeat(" ", max(columns-columnsOf(text), 0))
}

// fitted is text without the words for which there is no room.
func fitted(text string, columns int) string {
	for columnsOf(text) > columns {
		cut := strings.LastIndexByte(text, ' ')
		if cut < 0 {
			return ""
		}
		text = strings.TrimRight(text[:cut], " ")
	}
	return text
}
