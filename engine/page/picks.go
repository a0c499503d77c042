// Listening closer: what is alone or silent.

package page

import (
	"context"
	"fmt"

	"lapstrake/engine"
	"lapstrake/mapping"
)

// pickTold is what can be alone or silent, of one kind: layers, strands, ranks or zones. The last are the map's own.
type pickTold struct {
	Facet   string   `json:"facet"`
	Members []string `json:"members"` // by index: "", "alone" or "silent"
}

var facetNames = []string{
	engine.FacetLayer: "layer", engine.FacetStrand: "strand", engine.FacetRank: "rank", engine.FacetZone: "zone",
}

// tellPicks tells all visitors what is alone or silent, whoever chose it. It says whether that is new.
func (p *Page) tellPicks() bool {
	e := p.settings.Engine
	m := e.Map()
	told := []pickTold{}
	for facet, name := range facetNames {
		of := engine.Facet(facet)
		one := pickTold{Facet: name}
		for member := range members(m, of) {
			how := ""
			switch {
			case e.Silent(of, member):
				how = "silent"
			case e.Alone(of, member):
				how = "alone"
			}
			one.Members = append(one.Members, how)
		}
		told = append(told, one)
	}
	return p.board.tell("picks", told)
}

// members is how many a map has of a facet.
func members(m *mapping.Map, of engine.Facet) int {
	switch of {
	case engine.FacetLayer:
		return len(m.Layers)
	case engine.FacetStrand:
		return len(m.Strands)
	case engine.FacetRank:
		return len(m.Ranks())
	}
	return min(len(m.Zones), engine.MostOfFacet)
}

// pick lets a member of a facet be alone or silent, or no more so.
func (v *visitor) pick(_ context.Context, body []byte) error {
	var m struct {
		Do     string `json:"do"`
		Facet  string `json:"facet"`
		Member int    `json:"member"`
		How    string `json:"how"`
		On     bool   `json:"on"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	e := v.page.settings.Engine
	for facet, name := range facetNames {
		of := engine.Facet(facet)
		if name != m.Facet {
			continue
		}
		if err := within(name, m.Member, 0, members(e.Map(), of)-1); err != nil {
			return err
		}
		switch m.How {
		case "alone":
			e.SetAlone(of, m.Member, m.On)
		case "silent":
			e.SetSilent(of, m.Member, m.On)
		default:
			return fmt.Errorf("%.20q: expected alone or silent", m.How)
		}
		if v.page.tellPicks() {
			v.page.wake()
		}
		return nil
	}
	return fmt.Errorf("%.20q: expected one of %v", m.Facet, facetNames)
}

// soundAll ends all that is alone or silent.
func (v *visitor) soundAll(_ context.Context, body []byte) error {
	var m struct {
		Do string `json:"do"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	v.page.settings.Engine.SoundAll()
	v.page.wholeAgain()
	if v.page.tellPicks() {
		v.page.wake()
	}
	return nil
}
