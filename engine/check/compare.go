// Two reports side by side: what is better, the same, worse.

package check

import (
	"math"
	"slices"
)

// Change says how something fares against before.
type Change string

// The changes. Other is a figure that differs and is neither better nor worse for it.
const (
	Improved Change = "better"
	Same     Change = "same"
	Worsened Change = "worse"
	Other    Change = "other"
)

// sameFigure is by how much of the larger one two figures may differ and still count as the same.
const sameFigure = 0.02

// Comparison is one report against an earlier one, or that of one map against another's.
type Comparison struct {
	Layout
	Parts []PartComparison `json:"compared"`
}

// PartComparison is one check. Findings that are in one report alone are gone or new.
type PartComparison struct {
	Name    string          `json:"name"`
	Before  Verdict         `json:"before"`
	Now     Verdict         `json:"now"`
	Figures []FigurePair    `json:"figures"`
	Gone    []Finding       `json:"gone"`
	New     []Finding       `json:"new"`
	Kept    []FindingChange `json:"kept"`
}

// FigurePair is one figure in both.
type FigurePair struct {
	Name   string  `json:"name"`
	Before float64 `json:"before"`
	Now    float64 `json:"now"`
	Unit   string  `json:"unit"`
	Change Change  `json:"change"`
}

// FindingChange is a finding that both have.
type FindingChange struct {
	Before Finding `json:"before"`
	Now    Finding `json:"now"`
	Change Change  `json:"change"`
}

// Compare puts a report beside an earlier one. Checks that only one of them ran are left out.
func Compare(before, now *Report) *Comparison {
	c := &Comparison{Layout: layout, Parts: []PartComparison{}}
	for _, n := range now.Parts {
		i := slices.IndexFunc(before.Parts, func(b PartReport) bool { return b.Name == n.Name })
		if i >= 0 {
			c.Parts = append(c.Parts, comparePart(before.Parts[i], n))
		}
	}
	return c
}

func comparePart(before, now PartReport) PartComparison {
	c := PartComparison{Name: now.Name, Before: before.Verdict, Now: now.Verdict,
		Figures: []FigurePair{}, Gone: []Finding{}, New: []Finding{}, Kept: []FindingChange{}}
	for _, n := range now.Figures {
		for _, b := range before.Figures {
			if b.Name == n.Name && b.Unit == n.Unit {
				c.Figures = append(c.Figures,
					FigurePair{n.Name, b.Value, n.Value, n.Unit, changeOf(b.Value, n.Value, n.Better)})
			}
		}
	}
	for _, n := range now.Findings {
		i := slices.IndexFunc(before.Findings, func(b Finding) bool { return b.ID == n.ID })
		if i < 0 {
			c.New = append(c.New, n)
			continue
		}
		b := before.Findings[i]
		better := lessIsBetter
		if n.Figure < n.Limit {
			better = moreIsBetter
		}
		c.Kept = append(c.Kept, FindingChange{b, n, changeOf(b.Figure, n.Figure, better)})
	}
	for _, b := range before.Findings {
		if !slices.ContainsFunc(now.Findings, func(n Finding) bool { return n.ID == b.ID }) {
			c.Gone = append(c.Gone, b)
		}
	}
	return c
}

func changeOf(before, now float64, better Better) Change {
	switch {
	case math.Abs(now-before) <= sameFigure*max(math.Abs(now), math.Abs(before)):
		return Same
	case better == neither:
		return Other
	case (now < before) == (better == lessIsBetter):
		return Improved
	}
	return Worsened
}
