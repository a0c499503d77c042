// Cuts a TrueType font down to the letters of a text, by the OpenType specification 1.9 (ISO/IEC 14496-22). Hints,
// kerning and alternative shapes go.

package show

import (
	"encoding/binary"
	"fmt"
	"maps"
	"slices"

	"golang.org/x/image/font/sfnt"
)

var be = binary.BigEndian

// fontTables are the tables of a font by their tags.
type fontTables map[string][]byte

func readFontTables(ttf []byte) fontTables {
	tables := fontTables{}
	for i := range int(be.Uint16(ttf[4:])) {
		record := ttf[12+16*i:]
		from, length := be.Uint32(record[8:]), be.Uint32(record[12:])
		tables[string(record[:4])] = ttf[from : from+length]
	}
	return tables
}

// subsetFont keeps the letters of text that the font has. ttf is a sound TrueType font; its loca table may be short or
// long.
func subsetFont(ttf []byte, text string) ([]byte, error) {
	parsed, err := sfnt.Parse(ttf)
	if err != nil {
		return nil, fmt.Errorf("the font of the pictures: %w", err)
	}
	ids := map[rune]uint16{} // of the glyphs in ttf
	for _, letter := range text {
		id, err := parsed.GlyphIndex(nil, letter)
		if err != nil {
			return nil, fmt.Errorf("the font of the pictures: %w", err)
		}
		if id != 0 && letter < 0xffff {
			ids[letter] = uint16(id)
		}
	}
	tables := readFontTables(ttf)
	kept := tables.withParts(append([]uint16{0}, slices.Sorted(maps.Values(ids))...))
	newID := map[uint16]uint16{}
	for i, id := range kept {
		newID[id] = uint16(i)
	}
	out := fontTables{"OS/2": tables["OS/2"], "cmap": letterTable(ids, newID), "name": fontNames(parsed)}
	for _, tag := range []string{"head", "hhea", "maxp", "post"} {
		out[tag] = slices.Clone(tables[tag])
	}
	be.PutUint32(out["head"][8:], 0)  // the sum of the whole font, which no reader asks for
	be.PutUint16(out["head"][50:], 1) // long offsets
	be.PutUint16(out["hhea"][34:], uint16(len(kept)))
	be.PutUint16(out["maxp"][4:], uint16(len(kept)))
	be.PutUint32(out["post"], 0x30000) // version 3, without names
	out["post"] = out["post"][:32]
	widths := int(be.Uint16(tables["hhea"][34:]))
	for _, id := range kept {
		out["loca"] = be.AppendUint32(out["loca"], uint32(len(out["glyf"])))
		out["glyf"] = append(out["glyf"], unhinted(tables.glyph(id), newID)...)
		out["hmtx"] = append(out["hmtx"], tables["hmtx"][4*min(int(id), widths-1):][:4]...)
	}
	out["loca"] = be.AppendUint32(out["loca"], uint32(len(out["glyf"])))
	return out.file(), nil
}

// glyph is the outline of a glyph; it is empty for a space.
func (t fontTables) glyph(id uint16) []byte {
	if be.Uint16(t["head"][50:]) == 0 {
		loca := t["loca"][2*int(id):]
		return t["glyf"][2*int(be.Uint16(loca)) : 2*int(be.Uint16(loca[2:]))]
	}
	loca := t["loca"][4*int(id):]
	return t["glyf"][be.Uint32(loca):be.Uint32(loca[4:])]
}

// withParts adds the glyphs that others are put together from.
func (t fontTables) withParts(ids []uint16) []uint16 {
	for i := 0; i < len(ids); i++ {
		glyph := t.glyph(ids[i])
		parts, _ := glyphParts(glyph)
		for _, at := range parts {
			ids = append(ids, be.Uint16(glyph[at+2:]))
		}
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}

// Flags of a part that another glyph is put together from.
const (
	partWords        = 1 << 0
	partScale        = 1 << 3
	partMore         = 1 << 5
	partTwoScales    = 1 << 6
	partFourScales   = 1 << 7
	partInstructions = 1 << 8
)

// glyphParts lists where the parts of a glyph stand in it, and where the last one ends; none for a glyph that is an
// outline itself.
func glyphParts(glyph []byte) (parts []int, end int) {
	if len(glyph) == 0 || int16(be.Uint16(glyph)) >= 0 {
		return nil, 0
	}
	end = 10
	for more := true; more; {
		flags := be.Uint16(glyph[end:])
		parts, more = append(parts, end), flags&partMore != 0
		end += 6
		for _, longer := range []struct {
			flag  uint16
			bytes int
		}{{partWords, 2}, {partScale, 2}, {partTwoScales, 4}, {partFourScales, 8}} {
			if flags&longer.flag != 0 {
				end += longer.bytes
			}
		}
	}
	return parts, end
}

// unhinted is a glyph without instructions, with its parts under their new names, in a multiple of four bytes.
func unhinted(glyph []byte, newID map[uint16]uint16) []byte {
	if len(glyph) == 0 {
		return nil
	}
	var out []byte
	if parts, end := glyphParts(glyph); parts != nil {
		out = slices.Clone(glyph[:end])
		for _, at := range parts {
			be.PutUint16(out[at:], be.Uint16(out[at:])&^partInstructions)
			be.PutUint16(out[at+2:], newID[be.Uint16(out[at+2:])])
		}
	} else {
		contours := 10 + 2*int(be.Uint16(glyph)) // where the length of the instructions stands
		points := contours + 2 + int(be.Uint16(glyph[contours:]))
		out = append(append(slices.Clone(glyph[:contours]), 0, 0), glyph[points:]...)
	}
	for len(out)%4 != 0 {
		out = append(out, 0)
	}
	return out
}

// letterTable is a cmap of one table of format 4, with a segment for each letter.
func letterTable(ids map[rune]uint16, newID map[uint16]uint16) []byte {
	var ends, starts, deltas, offsets []byte
	add := func(letter, delta uint16) {
		ends, starts = be.AppendUint16(ends, letter), be.AppendUint16(starts, letter)
		deltas, offsets = be.AppendUint16(deltas, delta), be.AppendUint16(offsets, 0)
	}
	for _, letter := range slices.Sorted(maps.Keys(ids)) {
		add(uint16(letter), newID[ids[letter]]-uint16(letter))
	}
	add(0xffff, 1)
	segments := uint16(len(ids) + 1)
	searchRange, selector, shift := searchHelp(segments, 2)
	table := []byte{0, 0, 0, 1, 0, 3, 0, 1, 0, 0, 0, 12} // version, one table: Windows, Unicode BMP, at 12
	for _, value := range []uint16{4, 16 + 8*segments, 0, 2 * segments, searchRange, selector, shift} {
		table = be.AppendUint16(table, value)
	}
	return slices.Concat(table, ends, []byte{0, 0}, starts, deltas, offsets)
}

// searchHelp are the three numbers that the format keeps for a binary search over n entries of so many bytes.
func searchHelp(n, bytes uint16) (searchRange, selector, shift uint16) {
	for 2<<selector <= n {
		selector++
	}
	searchRange = bytes << selector
	return searchRange, selector, bytes*n - searchRange
}

// fontNames keeps whose font it is and on which terms, which the licence asks for, under another name.
func fontNames(font *sfnt.Font) []byte {
	const windows, unicodeBMP, english = 3, 1, 0x409
	kept := []sfnt.NameID{sfnt.NameIDCopyright, sfnt.NameIDFamily, sfnt.NameIDLicense, sfnt.NameIDLicenseURL}
	head, text := []byte{}, []byte{}
	for _, id := range kept {
		name, err := font.Name(nil, id)
		if err != nil {
			name = ""
		}
		if id == sfnt.NameIDFamily {
			name = "lapstrake"
		}
		from := len(text)
		for _, letter := range name {
			text = be.AppendUint16(text, uint16(min(letter, 0xfffd)))
		}
		for _, value := range []int{windows, unicodeBMP, english, int(id), len(text) - from, from} {
			head = be.AppendUint16(head, uint16(value))
		}
	}
	return slices.Concat([]byte{0, 0, 0, byte(len(kept)), 0, byte(6 + len(head))}, head, text)
}

// file puts the tables together.
func (t fontTables) file() []byte {
	n := uint16(len(t))
	searchRange, selector, shift := searchHelp(n, 16)
	head := []byte{0, 1, 0, 0}
	for _, value := range []uint16{n, searchRange, selector, shift} {
		head = be.AppendUint16(head, value)
	}
	at, body := 12+16*len(t), []byte{}
	for _, tag := range slices.Sorted(maps.Keys(t)) {
		table := t[tag]
		length := len(table)
		table = append(slices.Clone(table), make([]byte, -length&3)...)
		sum := uint32(0)
		for i := 0; i < len(table); i += 4 {
			sum += be.Uint32(table[i:])
		}
		head = append(head, tag...)
		for _, value := range []uint32{sum, uint32(at + len(body)), uint32(length)} {
			head = be.AppendUint32(head, value)
		}
		body = append(body, table...)
	}
	return append(head, body...)
}
