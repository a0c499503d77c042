// HOWTO.txt: how to set the instrument up by hand.

package export

import (
	"bytes"
	_ "embed"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/template"

	"lapstrake/mapping"
	"lapstrake/mapping/export/dls"
)

//go:embed howto.txt
var howToText string

var howToTemplate = template.Must(template.New(howToFile).Option("missingkey=error").Parse(howToText))

// howTo fills in the instructions.
func (w *writer) howTo() ([]byte, error) {
	m := w.Map
	values := map[string]any{
		"Title": w.Title, "KeyMap": w.keyMap(w.items), "OtherC": otherC(m.MiddleC), "Contents": w.contents(),
		"Files": len(w.sets()) > 0, "InFile": w.inFile(), "ByKey": w.byKey(), "Runs": w.hasRuns(), "Starts": w.startsText(),
		"Ranks": w.ranks(), "LayerList": strings.Join(m.Layers, ", "), "Zones": w.zones(),
		"GainDB": decimal(0 - m.HeadroomDB), "Rounded": m.HeadroomDB != math.Round(m.HeadroomDB), // no minus before a zero
		"Fade": len(m.Layers) > 1, "Between": len(m.Layers) > 2, "Table": levelTable(m), "Expression": expressionTable(m),
		"Overshoot": decimal(overshootDB(m.Dynamics.Law)),
		"Volume":    volumeText(m), "OwnVolume": !slices.Equal(m.Volume.Controllers, []int{7, 11}), "Velocity": velocityText(m),
		"Attack": decimal(m.AttackSec), "Release": decimal(m.ReleaseSec),
		"Bend": decimal(m.BendSemitones), "BendWhole": int(m.BendSemitones), "BendCents": int(math.Round(100 * (m.BendSemitones - math.Floor(m.BendSemitones)))),
		"PerKey": w.perKey(), "PerTen": 10 * w.perKey(), "PerKeyBank": 2 * w.perKey() * min(len(m.Layers), 2) / len(m.Layers),
		"Programs": []dls.Program(nil), "GaveUp": []string(nil),
	}
	if w.bank != nil {
		values["Programs"], values["GaveUp"] = w.bank.Programs, w.Variant.GaveUp
	}
	var out bytes.Buffer
	err := howToTemplate.Execute(&out, values)
	return out.Bytes(), err
}

func decimal(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func otherC(naming mapping.Naming) mapping.Naming {
	if naming == mapping.MiddleC3 {
		return mapping.MiddleC4
	}
	return mapping.MiddleC3
}

// contents lists what is in the folder.
func (w *writer) contents() (lines []string) {
	add := func(files, format string, args ...any) {
		lines = append(lines, fmt.Sprintf("%-29s"+format, append([]any{files}, args...)...))
	}
	samples := w.Format.String() + " bits"
	if w.Format.Encoding().IsFloat() {
		samples = "32-bit floats"
	}
	for _, set := range w.sets() {
		add(set.folder+"/", "%d files, %s, %s", len(w.items), strings.ToUpper(set.folder), samples)
	}
	if w.bank != nil {
		add(bankFile, "all cycles in one file: see below")
	}
	if len(w.sets()) > 0 {
		add(keyMapCSV+", "+keyMapJSON, "every file with its keys, root, loop, level and layer")
		add(keyMapSchema, "what stands in the latter")
	}
	if w.Credits != nil {
		add(creditsText+", "+creditsCSV, "whose sounds are heard, and on which terms")
	}
	add(checksumsFile, "to see by `sha256sum -c` that nothing was damaged on the way")
	return lines
}

// inFile tells which chunks a sampler may find the numbers in.
func (w *writer) inFile() string {
	var words []string
	if w.Parts.WAV {
		words = append(words, "WAV: smpl, inst")
	}
	if w.Parts.AIFF {
		words = append(words, "AIFF: INST, MARK")
	}
	return strings.Join(words, "; ")
}

// ranks lists the ranks, each once.
func (w *writer) ranks() (names []string) {
	for _, zone := range w.Map.Zones {
		if !slices.Contains(names, zone.Rank) {
			names = append(names, zone.Rank)
		}
	}
	return names
}

// zones lists the zones of the first layer.
func (w *writer) zones() (rows []KeyRow) {
	for i := range w.items {
		if item := &w.items[i]; item.Layer == 0 && item.Press == 1 {
			rows = append(rows, w.keyRows(item, fileSet{})...)
		}
	}
	return rows
}

// levelRow is a row of the law's table in words.
type levelRow struct {
	Value  int
	Levels []string
}

func levelTable(m *mapping.Map) (rows []levelRow) {
	for _, row := range lawTable(m) {
		r := levelRow{Value: row.Value}
		for _, gain := range row.Gains {
			if gain == nil {
				r.Levels = append(r.Levels, "off")
			} else {
				r.Levels = append(r.Levels, fmt.Sprintf("%.1f", *gain))
			}
		}
		rows = append(rows, r)
	}
	return rows
}

// expressions are the values of controller 11 that fade channels with a layer each as the map fades the layers.
type expressions struct {
	Values []int // of the dynamics
	Rows   []expressionRow
}

// expressionRow is for the channel of one program.
type expressionRow struct {
	Program int
	Values  []int
}

// expressionTable makes of each gain the value whose level, 40 log10(value/127) dB, it is.
func expressionTable(m *mapping.Map) expressions {
	e := expressions{Values: []int{0, 16, 32, 48, 64, 80, 96, 112, 127}, Rows: make([]expressionRow, len(m.Layers))}
	gains := make([]float64, len(m.Layers))
	for _, value := range e.Values {
		m.LayerGains(float64(value)/127, gains)
		for i, gain := range gains {
			e.Rows[i].Program = 2 + i
			e.Rows[i].Values = append(e.Rows[i].Values, int(math.Round(127*math.Sqrt(gain))))
		}
	}
	return e
}

func volumeText(m *mapping.Map) string {
	if len(m.Volume.Controllers) == 0 {
		return "no controller sets it"
	}
	var numbers []string
	for _, number := range m.Volume.Controllers {
		numbers = append(numbers, strconv.Itoa(number))
	}
	return "controller " + strings.Join(numbers, " and controller ") + ", each 40 log10(value/127) dB, together; 127 is full, 64 is -11.9 dB"
}

func velocityText(m *mapping.Map) string {
	if m.VelocityAmount == 0 {
		return "none; every note is equally loud"
	}
	return fmt.Sprintf("%s log10(velocity/127) dB", decimal(40*m.VelocityAmount))
}

// startsText tells how the starts of notes differ, where the files alone do not tell it.
func (w *writer) startsText() string {
	m := w.Map
	switch {
	case w.byKey():
		return "a zone has several files, each for some of its keys, so that neighbouring keys begin at different\n    places of their cycle; keymap.csv lists which."
	case w.hasSeveral() && m.Stagger.By == mapping.ByPress:
		return "each zone has several files; take the next one at each press, and the first after the last."
	case w.hasSeveral():
		return "each zone has several files, the same cycle from different starts. The player plays the first at every\n    press; to let presses differ, take the next one at each press, and the first after the last."
	case w.Starts == AllStarts:
		return ""
	case m.Stagger.By == mapping.ByKey:
		return "the player begins neighbouring keys at different places of their cycle; these files hold the start of\n    each zone's lowest key alone. Export with --starts all for a file of each."
	case m.Stagger.By == mapping.ByPress:
		return "the player begins each press at another place of the cycle; these files hold that of the first press\n    alone. Export with --starts all for a file of each."
	}
	return ""
}

// hasSeveral says whether a zone has several files of a layer.
func (w *writer) hasSeveral() bool { return len(w.items) > len(w.Map.Zones)*len(w.Map.Layers) }

// byKey says whether that is so for different keys.
func (w *writer) byKey() bool { return w.hasSeveral() && w.Map.Stagger.By == mapping.ByKey }

// hasRuns says whether a file is for several runs of keys, of which it can name one alone.
func (w *writer) hasRuns() bool {
	return slices.ContainsFunc(w.items, func(i Item) bool { return len(i.Keys) > 1 })
}

// perKey is how many files a key sounds at most.
func (w *writer) perKey() (most int) {
	for key := mapping.LowestKey; key <= mapping.HighestKey; key++ {
		most = max(most, len(w.Map.ZonesAt(key))*len(w.Map.Layers))
	}
	return most
}

// overshootDB is how far a fade of the bank would rise above 0 dB if nothing held it there: a·x + b·x² at its highest.
func overshootDB(law mapping.Law) float64 {
	a, b := fadeScales(law)
	return math.Round(-10*a*a/(4*b)) / 10
}
