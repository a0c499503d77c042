package mapping

import (
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"
	"unicode/utf8"

	"lapstrake/mapping/placed"
)

// Check returns every problem of the map, joined, or nil. It looks at the map
// alone; the beds are checked where they are opened.
func (m *Map) Check() error {
	var all []error
	for _, p := range m.problems() {
		all = append(all, p)
	}
	return errors.Join(all...)
}

func (m *Map) problems() []placed.Problem {
	c := checker{}
	m.checkHead(&c)
	m.checkControllers(&c)
	if m.Tuning != nil {
		for _, p := range m.Tuning.Check() {
			c.add("tuning."+p.Field, "%s", p.Text)
		}
	}
	for i := range m.Zones {
		m.checkZone(&c, i)
	}
	if len(m.Zones) == 0 {
		c.add("zones", "none found: expected at least one [[zones]] table")
	}
	m.checkSeams(&c)
	return c.problems
}

type checker struct{ problems []placed.Problem }

func (c *checker) add(field, format string, args ...any) {
	c.problems = append(c.problems, placed.Problem{Field: field, Text: fmt.Sprintf(format, args...)})
}

// span checks a number against a closed range; the comparison is written so
// that a NaN fails it.
func (c *checker) span(field string, value, low, high float64, unit string) {
	if !(value >= low && value <= high) {
		c.add(field, "%v: expected %v to %v %s", value, low, high, unit)
	}
}

func (m *Map) checkHead(c *checker) {
	if m.Version != Version {
		c.add("version", "%d: this program reads version %d; make the map anew", m.Version, Version)
	}
	c.span("rate_hz", float64(m.RateHz), 8000, 384000, "frames a second")
	if _, err := ParseNaming(string(m.MiddleC)); err != nil {
		c.add("middle_c", "%v", err)
	}
	c.names("layers", m.Layers)
	c.names("strands", m.Strands)
	if n := len(m.StrandTitles); n > 0 && n != len(m.Strands) {
		c.add("strand_titles", "%d titles: expected one for each of the %d strands, or none", n, len(m.Strands))
	}
	c.span("bed_sec", m.BedSec, 0, 86400, "seconds")
	c.span("overlap_sec", m.OverlapSec, 0, 600, "seconds")
	c.span("attack_sec", m.AttackSec, 0, 60, "seconds")
	c.span("release_sec", m.ReleaseSec, 0.005, 120, "seconds")
	c.span("velocity_amount", m.VelocityAmount, 0, 1, "")
	c.span("bend_range_semitones", m.BendSemitones, 0, 24, "semitones")
	c.span("polyphony", float64(m.Polyphony), 1, 4096, "cycles")
	c.span("headroom_db", m.HeadroomDB, 0, 60, "dB")
	c.span("seam_fade_db", m.SeamFadeDB, 0, MostSeamFadeDB, "dB")
	switch m.Stagger.By {
	case ByZone, ByKey, ByPress:
	default:
		c.add("stagger.by", "%q: expected zone, key or press", m.Stagger.By)
	}
	if m.Stagger.By != ByZone && len(m.Stagger.Starts) == 0 {
		c.add("stagger.starts", "empty: a stagger by %s needs at least one start", m.Stagger.By)
	}
	for i, start := range m.Stagger.Starts {
		if err := checkStart(start); err != nil {
			c.add(fmt.Sprintf("stagger.starts[%d]", i), "%v", err)
		}
	}
}

func (c *checker) names(field string, names []string) {
	for _, p := range CheckNames(names) {
		c.add(field+p.Field, "%s", p.Text)
	}
}

// MostLayers is how many layers, or strands, a map may have.
const MostLayers = 16

// CheckNames returns what is wrong with the names of layers or strands; a field is the index of a name, such as [2].
func CheckNames(names []string) (problems []placed.Problem) {
	add := func(field, format string, args ...any) {
		problems = append(problems, placed.Problem{Field: field, Text: fmt.Sprintf(format, args...)})
	}
	if len(names) == 0 || len(names) > MostLayers {
		add("", "%d names: expected 1 to %d", len(names), MostLayers)
	}
	for i, name := range names {
		if !plainName(name) {
			add(fmt.Sprintf("[%d]", i), "%q: expected small letters and digits, beginning with a letter", name)
		}
		if slices.Index(names, name) < i {
			add(fmt.Sprintf("[%d]", i), "%q stands twice: take one away", name)
		}
	}
	return problems
}

// plainName says whether a name fits into the file name of a bed.
func plainName(name string) bool {
	for i, r := range name {
		if !(r >= 'a' && r <= 'z' || i > 0 && r >= '0' && r <= '9') {
			return false
		}
	}
	return name != ""
}

// Controllers 120 to 127 are channel mode messages, 64 and 66 the pedals
// (MIDI 1.0).
func (c *checker) controller(field string, number int) {
	if number < 0 || number > 119 || number == 64 || number == 66 {
		c.add(field, "%d: expected 0 to 119, and neither 64 nor 66, which are the pedals", number)
	}
}

func (m *Map) checkControllers(c *checker) {
	c.controller("dynamics.controller", m.Dynamics.Controller)
	if !slices.Contains(Laws, m.Dynamics.Law) {
		c.add("dynamics.law", "%q: expected even-loudness, equal-power or equal-gain", m.Dynamics.Law)
	}
	if by := m.Dynamics.By; by != MovedByController && by != MovedByPressure && by != MovedByBoth {
		c.add("dynamics.by", "%q: expected pressure or both, or no such line: the controller alone", by)
	}
	c.span("dynamics.range_lu", m.Dynamics.RangeLU, 0, 40, "LU")
	c.span("dynamics.smoothing_sec", m.Dynamics.SmoothingSec, 0.001, 5, "seconds")
	c.span("dynamics.initial", float64(m.Dynamics.Initial), 0, 127, "")
	for i, number := range m.Volume.Controllers {
		field := fmt.Sprintf("volume.controllers[%d]", i)
		c.controller(field, number)
		if number == m.Dynamics.Controller {
			c.add(field, "%d moves the dynamics already", number)
		}
		if slices.Index(m.Volume.Controllers, number) < i {
			c.add(field, "%d stands twice", number)
		}
	}
}

func (m *Map) checkZone(c *checker, i int) {
	z := &m.Zones[i]
	field := func(name string) string { return fmt.Sprintf("zones[%d].%s", i, name) }
	if z.Rank == "" {
		c.add(field("rank"), "empty: expected the name of the rank that the zone belongs to")
	}
	if !utf8.ValidString(z.Rank) {
		c.add(field("rank"), "%q: expected UTF-8", z.Rank)
	}
	for _, key := range []struct {
		name  string
		value int
	}{{"root", z.Root}, {"low", z.Low}, {"high", z.High}} {
		if key.value < LowestKey || key.value > HighestKey {
			c.add(field(key.name), "%d: expected a MIDI key, 0 to 127", key.value)
		}
	}
	if z.Low > z.High {
		c.add(field("low"), "%d is above high, %d", z.Low, z.High)
	}
	if err := checkStart(z.Start); err != nil {
		c.add(field("start"), "%v", err)
	}
	c.span(field("level_db"), z.LevelDB, LeastNudgeDB, MostNudgeDB, "dB")
	c.span(field("tune_cents"), z.TuneCents, -MostNudgeCents, MostNudgeCents, "cents")
	m.checkBeds(c, z, field("beds"))
}

func (m *Map) checkBeds(c *checker, z *Zone, field string) {
	for layer := range z.Beds {
		if !slices.Contains(m.Layers, layer) {
			c.add(field, "layer %q is none of the map's layers, %s", layer, strings.Join(m.Layers, ", "))
		}
	}
	for _, layer := range m.Layers {
		beds := z.Beds[layer]
		if len(beds) != len(m.Strands) {
			c.add(field, "layer %s has %d beds: expected %d, one for each of the strands %s",
				layer, len(beds), len(m.Strands), strings.Join(m.Strands, ", "))
		}
		for _, bed := range beds {
			if err := checkBedPath(bed); err != nil {
				c.add(field, "%v", err)
			}
		}
	}
}

// checkBedPath keeps beds inside the project: a map may come from a stranger.
func checkBedPath(bed string) error {
	if !utf8.ValidString(bed) {
		return fmt.Errorf("bed %q: expected a name in UTF-8, as a map is; rename the file", bed)
	}
	if bed == "" || strings.ContainsAny(bed, "\\\x00") || path.IsAbs(bed) || path.Clean(bed) != bed ||
		bed == "." || bed == ".." || strings.HasPrefix(bed, "../") || strings.Contains(bed, ":") {
		return fmt.Errorf("bed %q: expected a path below the map's own folder with forward slashes, such as "+
			"beds/soft-a-k036.wav; copy the file into the project", bed)
	}
	return nil
}

// checkSeams refuses zones of one rank that overlap: a rank tiles the keyboard,
// and sounding two of its zones at a key would double that key's level.
func (m *Map) checkSeams(c *checker) {
	for i, z := range m.Zones {
		for j, earlier := range m.Zones[:i] {
			if z.Rank == earlier.Rank && z.Low <= earlier.High && earlier.Low <= z.High {
				c.add(fmt.Sprintf("zones[%d]", i), "rank %s: keys %d–%d overlap zones[%d], keys %d–%d; zones of one "+
					"rank stand side by side, put one into another rank",
					z.Rank, z.Low, z.High, j, earlier.Low, earlier.High)
			}
		}
	}
}
