// The report as one page that opens offline: verdict, pictures, tables, sounds.

package check

import (
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"image/color"
	"io"
	"math"
	"strings"

	"lapstrake/engine/show"
	"lapstrake/mapping/plural"
)

//go:embed report.html
var reportPage string

var reportTemplate = template.Must(template.New("report.html").Funcs(template.FuncMap{
	"percent":      func(part float64) string { return fmt.Sprintf("%.0f", 100*part) },
	"rank":         Verdict.rank,
	"figures":      func(n int) string { return plural.Of(n, "figure") },
	"contributors": func(n int) string { return plural.Of(n, "contributor") },
	"placements":   func(n int) string { return plural.Of(n, "placement") },
	"figure": func(value float64, unit string) string {
		text := strings.TrimSpace(fmt.Sprintf("%.4g %s", value, unit))
		return strings.Replace(text, "-", "\u2212", 1)
	},
}).Parse(reportPage))

// Page is what the page of a report says besides it.
type Page struct {
	Title, Artist string // of the project
	Map           string // where it lies
	Counts        string // how many findings there are
	Clips         []Clip // of the chord and of findings
	Left          int    // findings for whose sounds there was no room
}

// pagePart is a check on the page.
type pagePart struct {
	PartReport
	Findings []pageFinding
	Pictures []pagePicture
}

type pagePicture struct {
	Title string
	SVG   template.HTML
}

type pageFinding struct {
	Finding
	Number int
	Clip   *pageClip
}

type pageClip struct {
	Name   string
	Sec    float64
	Source template.HTMLAttr
}

// WriteHTML writes the report of a map as one page that needs nothing from outside.
func (r *Report) WriteHTML(w io.Writer, p Page) error {
	page := struct {
		Page
		Report                        *Report
		Parts                         []pagePart
		Chord                         *pageClip
		Clips, ClipMB, MostMB, Left   string
		LightInks, DarkInks, FontFace template.CSS
		FontFamily                    template.CSS
	}{Page: p, Report: r, FontFamily: show.FontFamily, Clips: plural.Of(len(p.Clips), "sound")}
	clips, size := pageClips(p.Clips)
	page.Chord = clips[""]
	page.ClipMB = fmt.Sprintf("%.1f", math.Ceil(float64(size)/1e5)/10)
	page.MostMB = fmt.Sprintf("%.0f", math.Ceil(float64(MostClipBytes)*base64Growth/1e6))
	if p.Left > 0 {
		page.Left = plural.Of(p.Left, "finding")
	}
	letters := reportPage + p.Title + p.Artist + p.Map
	for _, part := range r.Parts {
		shown := pagePart{PartReport: part}
		for i, f := range part.Findings {
			shown.Findings = append(shown.Findings, pageFinding{f, i + 1, clips[f.ID]})
			letters += f.Text + f.ID + f.Cure + f.Waived + f.Unit
		}
		if part.Heard != nil {
			for _, each := range part.Heard.Placements {
				letters += each.Take + each.Contributor + each.Bed
			}
		}
		for _, figure := range part.Figures {
			letters += figure.Name + figure.Unit
		}
		for _, drawing := range part.Drawings {
			svg, err := show.InlineSVG(drawing)
			if err != nil {
				return err
			}
			shown.Pictures = append(shown.Pictures, pagePicture{drawing.Name(), template.HTML(svg)})
			letters += svg
		}
		page.Parts = append(page.Parts, shown)
	}
	face, err := show.FontFace(letters + everyLetter())
	if err != nil {
		return err
	}
	page.FontFace = template.CSS(face)
	for _, ink := range show.Inks() {
		variable := func(c color.RGBA) template.CSS {
			return template.CSS(
				fmt.Sprintf("--%s: %s; ", ink.Name, show.Hex(c)))
		}
		page.LightInks, page.DarkInks = page.LightInks+variable(ink.Light), page.DarkInks+variable(ink.Dark)
	}
	return reportTemplate.Execute(w, page)
}

// base64Growth is by how much a file grows when a page holds it.
const base64Growth = 4.0 / 3

// pageClips are the clips by their findings, and what they take of the page.
func pageClips(clips []Clip) (byFinding map[string]*pageClip, size int) {
	byFinding = map[string]*pageClip{}
	for _, clip := range clips {
		source := "data:audio/flac;base64," + base64.StdEncoding.EncodeToString(clip.FLAC)
		byFinding[clip.Finding] = &pageClip{clip.Name, clip.Sec, template.HTMLAttr(`src="` + source + `"`)}
		size += len(source)
	}
	return byFinding, size
}

// everyLetter is printable ASCII, which the page's own words are in, with the signs that numbers and sorting need.
func everyLetter() string {
	letters := []byte{}
	for letter := byte(' '); letter <= '~'; letter++ {
		letters = append(letters, letter)
	}
	return string(letters) + "\u2212\u2191\u2193\u2195…"
}
