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
)

//go:embed howto.txt
var howToText string

var howToTemplate = newTemplate(howToFile, howToText)

// newTemplate reads the template of a text; a value that is missing when it is filled in is an error.
func newTemplate(name, text string) *template.Template {
	return template.Must(template.New(name).Option("missingkey=error").Parse(text))
}

// howTo fills in the instructions.
func (w *writer) howTo() ([]byte, error) {
	values := w.howToValues()
	var sections []string
	for _, f := range w.laid.files {
		if f.part.section == nil {
			continue
		}
		section, err := f.part.section(w.Job, f.items, values)
		if err != nil {
			return nil, err
		}
		sections = append(sections, section)
	}
	values["Sections"] = sections
	var out bytes.Buffer
	err := howToTemplate.Execute(&out, values)
	return out.Bytes(), err
}

// howToValues are the values that all sections may use.
func (w *writer) howToValues() map[string]any {
	m := w.Map
	return map[string]any{
		"Title": w.Title, "KeyMap": w.keyMap(w.laid.items, w.sums), "OtherC": otherC(m.MiddleC),
		"Contents": w.contents(),
		"Files":    len(w.folders()) > 0, "InFile": w.inFile(), "ByKey": w.byKey(), "Runs": w.hasRuns(),
		"Starts": w.startsText(),
		"Ranks":  w.ranks(), "LayerList": strings.Join(m.Layers, ", "), "Strands": strandList(m), "Zones": w.zones(),
		"GainDB": decimal(0 - m.HeadroomDB), // no minus before a zero
		"GaveUp": w.Sets.GaveUp, "Order": w.Sets.Order,
		"KeyLevels": w.keyLevels(), "Tuning": w.tuningText(),
		"Rounded": m.HeadroomDB != math.Round(m.HeadroomDB),
		"Fade":    len(m.Layers) > 1, "Table": levelTable(m),
		"Volume": volumeText(m), "Velocity": velocityText(m),
		"Attack": decimal(m.AttackSec), "Release": decimal(m.ReleaseSec),
		"Bend": decimal(m.BendSemitones), "PerKey": w.perKey(), "PerTen": 10 * w.perKey(),
		"PerTwenty": 20 * w.perKey(),
		"Silent":    decimal(2 * m.ReleaseSec), "Smoothing": decimal(m.Dynamics.SmoothingSec),
		"Formula": strings.ReplaceAll(m.LawFormula(), "; ", "\n     "), "Mono": w.hasMono(),
		"VolumeSmoothing": decimal(mapping.VolumeSmoothingSec), "BendSmoothing": decimal(mapping.BendSmoothingSec),
	}
}

// tuningText names the tuning of the keys; "" where they have their equal semitones.
func (j *Job) tuningText() string {
	if !j.isTuned() {
		return ""
	}
	if j.Map.Tuning == nil {
		return "equal semitones, key 69 at 440 Hz, but for zones that were tuned by ear"
	}
	return j.Map.Tuning.Text(j.Map.MiddleC)
}

// strandList is the strands' titles in their order.
func strandList(m *mapping.Map) string {
	titles := make([]string, len(m.Strands))
	for i := range titles {
		titles[i] = m.StrandTitle(i)
	}
	return strings.Join(titles, ", ")
}

// decimal prints a number in full, without an exponent.
func decimal(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// otherC is the other name of key 60.
func otherC(naming mapping.Naming) mapping.Naming {
	if naming == mapping.MiddleC3 {
		return mapping.MiddleC4
	}
	return mapping.MiddleC3
}

// contents lists what the export holds.
func (w *writer) contents() (lines []string) {
	add := func(files, format string, args ...any) {
		lines = append(lines, fmt.Sprintf("%-29s"+format, append([]any{files}, args...)...))
	}
	samples := w.Format.String() + " bits"
	if w.Format.Encoding().IsFloat() {
		samples = "32-bit floats"
	}
	for _, p := range w.chosen() {
		if p.isFolder() {
			add(p.place+"/", "%d files, %s, %s, %s, in a folder for each group", len(w.laid.items), p.title, samples,
				w.rates())
		} else {
			add(p.place, "%s", p.content)
		}
	}
	if len(w.folders()) > 0 {
		add(keyMapCSV+", "+keyMapJSON, "every file with its keys, root, loop, level and layer")
		add(keyMapSchema, "describes "+keyMapJSON)
	}
	if len(w.Map.Layers) > 1 {
		add(dynamicsCSV, "the fade between the layers at all 128 values")
	}
	if w.Credits != nil {
		add(creditsText+", "+creditsCSV, "whose sounds are heard, and on which terms")
	}
	add(checksumsFile, "finds damaged files: run `sha256sum -c "+checksumsFile+"`")
	return lines
}

// rates lists the rates of the files.
func (w *writer) rates() string {
	var rates []string
	for i := range w.laid.items {
		if rate := strconv.Itoa(w.laid.items[i].Cycle.RateHz); !slices.Contains(rates, rate) {
			rates = append(rates, rate)
		}
	}
	return strings.Join(rates, " and ") + " Hz"
}

// inFile tells which chunks of the files hold the numbers.
func (w *writer) inFile() string {
	var words []string
	for _, p := range w.folders() {
		words = append(words, p.title+": "+p.chunks)
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
	for i := range w.laid.items {
		if item := &w.laid.items[i]; item.Layer == 0 && item.Press == 1 {
			for _, keys := range item.Keys {
				rows = append(rows, w.keyRow(item, keys))
			}
		}
	}
	return rows
}

// levelRow is a row of the crossfade's table as text.
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

func volumeText(m *mapping.Map) string {
	if len(m.Volume.Controllers) == 0 {
		return "no controller sets it"
	}
	var numbers []string
	for _, number := range m.Volume.Controllers {
		numbers = append(numbers, strconv.Itoa(number))
	}
	return "controller " + strings.Join(numbers, " and controller ") +
		", each 40 log10(value/127) dB, together; 127 is full, 64 is -11.9 dB"
}

func velocityText(m *mapping.Map) string {
	if m.VelocityAmount == 0 {
		return "none; every note is equally loud"
	}
	return fmt.Sprintf("%s log10(velocity/127) dB", decimal(40*m.VelocityAmount))
}

// startsText says how the starts of notes differ, where the files alone do not say it.
func (w *writer) startsText() string {
	m := w.Map
	switch {
	case w.byKey():
		return "a zone has several files, each for some of its keys, so that neighbouring keys begin at different\n " +
			"   places of their cycle; keymap.csv lists which."
	case w.hasSeveral() && m.Stagger.By == mapping.ByPress:
		return "each zone has several files; take the next one at each press of a key, and the first after the " +
			"last. Each key\n    counts its own presses."
	case w.hasSeveral():
		return "each zone has several files, the same cycle from different starts. The player plays the first at " +
			"every\n    press; to let presses differ, take the next one at each press of a key, and the first after " +
			"the last."
	case w.Starts == AllStarts:
		return ""
	case m.Stagger.By == mapping.ByKey:
		return "the player begins neighbouring keys at different places of their cycle; these files hold the start " +
			"of\n    each zone's lowest key alone. Export all starts for a file of each."
	case m.Stagger.By == mapping.ByPress:
		return "the player begins each press of a key at another place of the cycle; these files hold that of the " +
			"first press\n    alone. Export all starts for a file of each."
	}
	return ""
}

// hasSeveral says whether some zone has several files of a layer.
func (w *writer) hasSeveral() bool { return len(w.laid.items) > len(w.Map.Zones)*len(w.Map.Layers) }

// byKey says whether zones have several files, each for other keys.
func (w *writer) byKey() bool { return w.hasSeveral() && w.Map.Stagger.By == mapping.ByKey }

// hasMono says whether some file has one channel.
func (w *writer) hasMono() bool {
	return slices.ContainsFunc(w.laid.items, func(i Item) bool { return i.Cycle.Mono })
}

// hasRuns says whether some file is for several runs of keys. Its name can give only one of them.
func (w *writer) hasRuns() bool {
	return slices.ContainsFunc(w.laid.items, func(i Item) bool { return len(i.Keys) > 1 })
}

// perKey is how many files a key sounds at most.
func (w *writer) perKey() int { return len(w.Map.Layers) * w.Map.MostZones() }
