// The marks of a plot: lines up through it, and words above it that do not run into each other.

package show

import (
	"cmp"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// wordGap is between the words of two marks in one row.
const wordGap = vg.Length(8)

// wordRows is how many rows the words of the marks take.
func (p *panel) wordRows() (rows int) {
	// The data are at least so wide; a little more room in the drawing does no harm.
	const narrowest = pageWidth - 2*pageMargin - 160
	toX := func(x float64) vg.Length {
		return narrowest * vg.Length((x-p.plot.X.Min)/(p.plot.X.Max-p.plot.X.Min))
	}
	for _, row := range p.rowsOfWords(toX) {
		rows = max(rows, row+1)
	}
	return rows
}

// rowsOfWords gives each mark the lowest row in which its words are clear of the others; −1 for one without words.
func (p *panel) rowsOfWords(toX func(x float64) vg.Length) []int {
	order := make([]int, len(p.marks))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p.marks[a].X, p.marks[b].X) })
	rows, ends := make([]int, len(p.marks)), []vg.Length{}
	for _, i := range order {
		rows[i] = -1
		if p.marks[i].Text == "" {
			continue
		}
		half := markStyle().Width(p.marks[i].Text) / 2
		from := toX(p.marks[i].X) - half
		row := slices.IndexFunc(ends, func(end vg.Length) bool { return from >= end+wordGap })
		if row < 0 {
			row, ends = len(ends), append(ends, 0)
		}
		rows[i], ends[row] = row, from+2*half
	}
	return rows
}

// markLine is that of a mark.
func markLine(grave bool) draw.LineStyle {
	line := draw.LineStyle{Color: markInk.Light, Width: vg.Points(1), Dashes: []vg.Length{2, 2}}
	if grave {
		line.Dashes = nil
	}
	return line
}

func (p *panel) drawMarks(page, data draw.Canvas, toX func(x float64) vg.Length) {
	style := markStyle()
	style.Color = markInk.Light
	most := p.wordRows()
	for i, row := range p.rowsOfWords(toX) {
		mark, x := p.marks[i], toX(p.marks[i].X)
		line := markLine(mark.Grave)
		top := data.Max.Y
		if row >= 0 {
			row = min(row, most-1)
			half := style.Width(mark.Text) / 2
			middle := min(max(x, data.Min.X+half), page.Max.X-pageMargin-half)
			page.FillText(style, vg.Point{X: middle, Y: data.Max.Y + vg.Length(row+1)*wordsHeight}, mark.Text)
			top += vg.Length(row) * wordsHeight
		}
		page.StrokeLine2(line, x, data.Min.Y, x, top)
	}
}
