// Rendering a mark again, and saying what has changed since.

package main

import (
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"lapstrake/engine/mark"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

// markHeld is for how long what a mark held sounds on, unless told otherwise.
const markHeld = 5 * time.Second

// markFigures are what hold tells of a mark.
type markFigures struct {
	Row     mark.Row      `json:"mark"`
	Changed mark.Changed  `json:"changed"`
	LeadSec float64       `json:"lead_s"` // from the beginning of the sound to the mark
	Sound   *soundFigures `json:"sound,omitempty"`
}

func (o *holdOptions) playMark(s streams, sound io.Writer, project string) error {
	path, err := mapping.Locate(project)
	if err != nil {
		return err
	}
	dir := filepath.Dir(path)
	row, err := findMark(dir, o.mark)
	if err != nil {
		return err
	}
	m, err := mark.Read(dir, o.mark)
	if err != nil {
		return err
	}
	changed, err := m.Changed(dir)
	if err != nil {
		return err
	}
	figures := markFigures{Row: row, Changed: changed}
	if o.output.path != "" {
		if figures.Sound, figures.LeadSec, err = o.renderMark(s, sound, dir, m); err != nil {
			return err
		}
	}
	if o.output.json {
		return json.NewEncoder(s.out).Encode(figures)
	}
	fmt.Fprintf(s.out, "mark %d of %s: %s\n", row.Number, row.When, markInWords(row))
	if row.Remark != "" {
		fmt.Fprintln(s.out, row.Remark)
	}
	for place := range strings.SplitSeq(row.Places, "; ") {
		if place != "" {
			fmt.Fprintln(s.out, "  "+place)
		}
	}
	if figures.Sound != nil {
		figures.Sound.print(s)
		fmt.Fprintf(s.out, "the mark is %.3f s after its beginning\n", figures.LeadSec)
	}
	printChanged(s, changed)
	return nil
}

// findMark is the row of a mark.
func findMark(dir string, number int) (mark.Row, error) {
	rows, err := mark.ReadRows(dir)
	if err != nil {
		return mark.Row{}, err
	}
	at := slices.IndexFunc(rows, func(r mark.Row) bool { return r.Number == number })
	if at < 0 {
		return mark.Row{}, fmt.Errorf("%s: found no mark %d, expected one that `lapstrake marks %s` lists",
			filepath.Join(dir, project.MarksFile), number, dir)
	}
	return rows[at], nil
}

func (o *holdOptions) renderMark(s streams, sound io.Writer, dir string, m *mark.Mark) (*soundFigures,
	float64, error) {
	settings, err := o.player.settings()
	if err != nil {
		return nil, 0, err
	}
	player, err := m.Open(dir, settings.MemoryBytes)
	if err != nil {
		return nil, 0, err
	}
	defer player.Close()
	sources, err := sourcesOf(dir, player.Map())
	if err != nil {
		return nil, 0, err
	}
	if err := o.output.guard(dir, sources); err != nil {
		return nil, 0, err
	}
	again := m.Performance(player, o.lead.Seconds(), o.length.Seconds())
	p := performance{Performance: again, sound: sound, title: fmt.Sprintf("mark %d", m.Number)}
	figures, err := p.render(s, &o.output)
	return figures, m.LeadSec(again), err
}

// printChanged says whether what is heard is what was heard, and what has changed since.
func printChanged(s streams, c mark.Changed) {
	if c.Sounds() {
		fmt.Fprintln(s.out, "its beds are as they were: it sounds as it did")
	}
	for _, bed := range c.Beds {
		fmt.Fprintf(s.out, "changed since: %s: it sounds by the bed as it is now\n", bed)
	}
	for _, bed := range c.Missing {
		fmt.Fprintf(s.out, "gone since: %s\n", bed)
	}
	if c.LeftOut > 0 {
		fmt.Fprintf(s.out, "left out: %d notes that still sounded on a map from before\n", c.LeftOut)
	}
	for _, field := range c.Map {
		fmt.Fprintf(s.out, "changed since in the map: %s; it sounds by the map as it was\n", field)
	}
}
