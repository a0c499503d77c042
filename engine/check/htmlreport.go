// The report as one page that opens offline: verdict, pictures, tables, sounds.

package check

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"math"
)

//go:embed report.html
var reportPage string

var reportTemplate = template.Must(template.New("report.html").Funcs(template.FuncMap{
	"percent": func(part float64) string { return fmt.Sprintf("%.0f", 100*part) },
}).Parse(reportPage))

// pagePart is a check on the page.
type pagePart struct {
	PartReport
	Pictures []pagePicture
}

type pagePicture struct {
	Title string
	SVG   template.HTML
}

type pageClip struct {
	Name   string
	Source template.URL
}

// WriteHTML writes the report of a map as one page that needs nothing from outside. title is the project's; counts says
// how many findings there are.
func (r *Report) WriteHTML(w io.Writer, title, mapPath, counts string, clips []Clip) error {
	page := struct {
		Title, Map, Counts string
		Report             *Report
		Parts              []pagePart
		Clips              []pageClip
		ClipMB             string
	}{Title: title, Map: mapPath, Counts: counts, Report: r}
	for _, part := range r.Parts {
		p := pagePart{PartReport: part}
		for _, drawing := range part.Drawings {
			var svg bytes.Buffer
			if err := drawing.WriteSVG(&svg); err != nil {
				return err
			}
			_, inner, _ := bytes.Cut(svg.Bytes(), []byte("?>"))
			p.Pictures = append(p.Pictures, pagePicture{drawing.Title, template.HTML(inner)})
		}
		page.Parts = append(page.Parts, p)
	}
	size := 0
	for _, clip := range clips {
		source := "data:audio/wav;base64," + base64.StdEncoding.EncodeToString(clip.WAV)
		page.Clips, size = append(page.Clips, pageClip{clip.Name, template.URL(source)}), size+len(source)
	}
	page.ClipMB = fmt.Sprintf("%.1f", math.Ceil(float64(size)/1e5)/10)
	return reportTemplate.Execute(w, page)
}
