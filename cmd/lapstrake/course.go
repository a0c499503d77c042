// A course: a cycle from end to end, and where it stands.

package main

import (
	"bytes"
	"strings"
)

// course is a cycle as a key sounds it.
type course struct {
	root    string    // the name of its zone's root
	letters string    // of its strands, one for each bed
	begins  []float64 // turns at which each bed takes over, 0 up to 1
	at      float64   // turns, 0 up to 1
	bed     int       // that sounds there
	silent  bool
}

// draw shows the cycle in so many cells: each strand's letter where its bed takes over, and, in capitals, the letter
// of the strand that sounds where the cycle stands.
func (c *course) draw(cells int) string {
	if c.silent {
		return padded("silent", cells)
	}
	line := bytes.Repeat([]byte{'.'}, cells)
	cell := func(turns float64) int { return min(max(int(turns*float64(cells)), 0), cells-1) }
	for i, begin := range c.begins {
		line[cell(begin)] = c.letters[i]
	}
	line[cell(c.at)] = strings.ToUpper(c.letters[c.bed : c.bed+1])[0]
	return string(line)
}

// strandLetters gives each strand a small letter: its name's first where these are small letters and differ, else a,
// b, c …
func strandLetters(names []string) string {
	var letters []byte
	for _, name := range names {
		if name == "" || name[0] < 'a' || name[0] > 'z' || bytes.IndexByte(letters, name[0]) >= 0 {
			letters = nil
			break
		}
		letters = append(letters, name[0])
	}
	if letters == nil {
		for i := range names {
			letters = append(letters, byte('a'+i%26))
		}
	}
	return string(letters)
}

// keyPlaces gives every held key a row of its own for as long as it is held.
type keyPlaces struct{ keys []int }

const noKey = -1

// place lays keys into rows; a row without one is nil. more is how many keys found none.
func (p *keyPlaces) place(held []heldKey, rows int) (placed []*heldKey, more int) {
	for len(p.keys) < rows {
		p.keys = append(p.keys, noKey)
	}
	p.keys = p.keys[:rows]
	placed = make([]*heldKey, rows)
	var waiting []*heldKey
	for i := range held {
		waiting = append(waiting, &held[i])
	}
	for row, key := range p.keys {
		p.keys[row] = noKey
		for i, k := range waiting {
			if k != nil && k.key == key {
				p.keys[row], placed[row], waiting[i] = key, k, nil
			}
		}
	}
	row := 0
	for _, k := range waiting {
		if k == nil {
			continue
		}
		for row < rows && placed[row] != nil {
			row++
		}
		if row == rows {
			more++
			continue
		}
		p.keys[row], placed[row] = k.key, k
	}
	if more > 0 { // the last row counts them, and the key that had it
		p.keys[rows-1], placed[rows-1] = noKey, nil
		more++
	}
	return placed, more
}
