// What the digits pick to sound alone or fall silent.

package main

import (
	"fmt"
	"strings"

	"lapstrake/engine"
)

// picks is what the digits mean now.
type picks struct {
	facet  engine.Facet
	silent bool // or else alone
}

var facetNames = map[engine.Facet]string{
	engine.FacetLayer: "layer", engine.FacetStrand: "strand", engine.FacetRank: "rank", engine.FacetZone: "zone",
}

// members are what the digits pick, with their numbers in the engine: zones are those under the last key.
func (p *playing) members() (numbers []int) {
	m := p.engine.Map()
	count := 0
	switch p.picks.facet {
	case engine.FacetLayer:
		count = len(m.Layers)
	case engine.FacetStrand:
		count = len(m.Strands)
	case engine.FacetRank:
		count = len(m.Ranks())
	case engine.FacetZone:
		return m.ZonesAt(p.lastKey)
	}
	for i := range count {
		numbers = append(numbers, i)
	}
	return numbers
}

// memberName is what a member is called.
func (p *playing) memberName(of engine.Facet, member int) string {
	m := p.engine.Map()
	switch of {
	case engine.FacetLayer:
		return m.Layers[member]
	case engine.FacetStrand:
		return m.StrandTitle(member)
	case engine.FacetRank:
		return m.Ranks()[member]
	}
	z := &m.Zones[member]
	return z.Rank + " at " + m.MiddleC.Name(z.Root)
}

// facetCount is how many members the map has.
func (p *playing) facetCount(of engine.Facet) int {
	m := p.engine.Map()
	return [...]int{len(m.Layers), len(m.Strands), len(m.Ranks()), len(m.Zones)}[of]
}

// pick makes a member alone or silent, or no more so.
func (p *playing) pick(digit int) {
	members := p.members()
	if digit >= len(members) {
		p.notice("%d: there are %d %ss to pick from", digit+1, len(members), facetNames[p.picks.facet])
		return
	}
	if of, member := p.picks.facet, members[digit]; p.picks.silent {
		p.engine.SetSilent(of, member, !p.engine.Silent(of, member))
	} else {
		p.engine.SetAlone(of, member, !p.engine.Alone(of, member))
	}
}

// picksText tells what the digits pick, and what is alone and silent.
func (p *playing) picksText() string {
	way := "alone"
	if p.picks.silent {
		way = "silent"
	}
	var alone, silent []string
	for of := range engine.FacetZone + 1 {
		for member := range min(p.facetCount(of), engine.MostOfFacet) {
			if p.engine.Alone(of, member) {
				alone = append(alone, facetNames[of]+" "+p.memberName(of, member))
			}
			if p.engine.Silent(of, member) {
				silent = append(silent, facetNames[of]+" "+p.memberName(of, member))
			}
		}
	}
	text := "all"
	if len(alone)+len(silent) > 0 {
		text = strings.TrimLeft(tagged("alone: ", alone)+tagged("   silent: ", silent), " ")
	}
	last := max(len(p.members()), 1)
	return padded(fmt.Sprintf("1-%d %ss %s", min(last, 9), facetNames[p.picks.facet], way), 20) + text
}

// tagged lists names after a word; nothing where there is none.
func tagged(tag string, names []string) string {
	if len(names) == 0 {
		return ""
	}
	return tag + strings.Join(names, ", ")
}
