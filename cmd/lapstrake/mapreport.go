package main

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"
	"text/tabwriter"

	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

// zoneRow is a zone as the report shows it.
type zoneRow struct {
	Rank       string    `json:"rank"`
	Root       int       `json:"root"`
	Low        int       `json:"low"`
	High       int       `json:"high"`
	Starts     []float64 `json:"starts"`
	CycleSec   float64   `json:"cycle_sec"`
	LongestSec float64   `json:"longest_sec"`
}

func (o *mapOptions) report(s streams, request *mapRequest, cycles *stream.Cycles, unused []int) error {
	m, grid := cycles.Map, request.settings.Grid
	warnings := m.KeyWarnings(grid.LowestKey, grid.HighestKey, o.maxShift)
	for _, root := range unused {
		warnings = append(warnings, fmt.Sprintf("root %d: its beds lie on no rank of this grid and are left out",
			root))
	}
	warnings = append(warnings, unequalLayers(cycles)...)
	rows := make([]zoneRow, len(m.Zones))
	for i := range m.Zones {
		z := &m.Zones[i]
		cycle := cycles.Cycle(i, 0)
		rows[i] = zoneRow{z.Rank, z.Root, z.Low, z.High, m.Starts(z), cycle.Seconds(0),
			cycle.Seconds(m.ShiftSemitones(z, z.Low))}
	}
	if o.json {
		return json.NewEncoder(s.out).Encode(struct {
			Map       string     `json:"map"`
			Settings  string     `json:"settings"`
			Overrides []override `json:"overrides"`
			Zones     []zoneRow  `json:"zones"`
			SeamFade  float64    `json:"seam_fade_db"`
			StartGaps []startRow `json:"start_gaps"`
			Warnings  []string   `json:"warnings"`
		}{request.target, request.settingsFile, list(request.overrides), rows, m.SeamFadeDB,
			startRows(m, grid), warnings})
	}
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "rank\troot\tkeys\tshift\tstart\tcycle at root\tat its lowest key")
	for i := range m.Zones {
		z := &m.Zones[i]
		fmt.Fprintf(table, "%s\t%s (%d)\t%s–%s (%d–%d)\t%+.4g to %+.4g\t%s\t%.3f s\t%.3f s\n", z.Rank,
			m.MiddleC.Name(z.Root), z.Root,
			m.MiddleC.Name(z.Low), m.MiddleC.Name(z.High), z.Low, z.High, m.ShiftSemitones(z, z.Low),
			m.ShiftSemitones(z, z.High),
			startsText(rows[i].Starts), rows[i].CycleSec, rows[i].LongestSec)
	}
	table.Flush()
	fmt.Fprintf(s.out, "\n%s\n", m.Drawing(grid.LowestKey, grid.HighestKey))
	if m.Tuning != nil {
		nearest := ""
		if m.Tuning.ZonesBy == mapping.ZonesByPitch {
			nearest = "; a key sounds the zones nearest to its pitch"
		}
		fmt.Fprintf(s.out, "tuning: %s%s\n", m.Tuning.Text(m.MiddleC), nearest)
	}
	if m.SeamFadeDB > 0 && m.MostZones() > 1 {
		fmt.Fprintf(s.out, "each rank falls by %v dB towards its own seams, and the others carry\n", m.SeamFadeDB)
	}
	writeStartGaps(s.out, startRows(m, grid))
	for _, warning := range warnings {
		s.notice("warning: %s", warning)
	}
	fmt.Fprintln(s.out, request.by())
	if o.dryRun {
		s.notice("nothing written")
		return nil
	}
	if len(request.overrides) > 0 {
		fmt.Fprintf(s.out, "%s: keeps these options for later maps and builds\n",
			filepath.Join(filepath.Dir(request.target), project.SettingsFile))
	}
	fmt.Fprintf(s.out, "%s: %s in %s, middle C (key 60) is %s\n", request.target,
		count(len(m.Zones), "zone"), count(len(m.Ranks()), "rank"), m.MiddleC)
	return nil
}

// by says by which settings a map is made.
func (p *mapRequest) by() string {
	text := "settings: defaults"
	if p.settingsFile != "" {
		text = "settings: " + p.settingsFile
	}
	for i, o := range p.overrides {
		if i == 0 {
			text += ", but for "
		} else {
			text += ", "
		}
		text += o.Field + " = " + shortened(o.Value)
	}
	return text
}

// shortened is a text of which no more than a part of a line is shown.
func shortened(text string) string {
	const most = 40
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return string(runes[:most-1]) + "…"
}

func startsText(starts []float64) string {
	if len(starts) > 4 {
		return fmt.Sprintf("%d different", len(starts))
	}
	words := make([]string, len(starts))
	for i, start := range starts {
		words[i] = strconv.FormatFloat(start, 'g', 4, 64)
	}
	return strings.Join(words, " ")
}

// unequalLayers tells of zones whose layers do not stay in phase.
func unequalLayers(cycles *stream.Cycles) []string {
	var warnings []string
	for i, z := range cycles.Map.Zones {
		first := cycles.Cycle(i, 0)
		for layer := 1; layer < len(cycles.Map.Layers); layer++ {
			if cycle := cycles.Cycle(i, layer); cycle.Seconds(0) != first.Seconds(0) {
				warnings = append(warnings, fmt.Sprintf("rank %s, root %d: layer %s lasts %.3f s, layer %s %.3f s: "+
					"they drift apart while a note is held; make their beds equally long or set --length",
					z.Rank, z.Root, cycles.Map.Layers[0], first.Seconds(0), cycles.Map.Layers[layer],
					cycle.Seconds(0)))
			}
		}
	}
	return warnings
}
