package show

import (
	"reflect"
	"testing"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// A font that was cut down is read by a general library, holds the shapes and widths of its letters, those put
// together from parts too, and nothing of the others.
func TestSubsetFont(t *testing.T) {
	const kept, size = "Ag ß é Č 7−…↕", fixed.Int26_6(1000 << 6)
	for _, ttf := range [][]byte{liberationsansregular.TTF, liberationsansbold.TTF} {
		data, err := subsetFont(ttf, kept+"\U0001f6f6")
		if err != nil {
			t.Fatal(err)
		}
		whole, err := sfnt.Parse(ttf)
		if err != nil {
			t.Fatal(err)
		}
		few, err := sfnt.Parse(data)
		if err != nil {
			t.Fatal(err)
		}
		if len(data) > 12000 {
			t.Errorf("%d bytes for %d letters", len(data), len(kept))
		}
		for _, letter := range kept {
			want, wantAdvance := outline(t, whole, letter, size)
			got, advance := outline(t, few, letter, size)
			if advance != wantAdvance || !reflect.DeepEqual(got, want) {
				t.Errorf("%q: %d segments and %v wide, want %d and %v", letter, len(got), advance,
					len(want), wantAdvance)
			}
		}
		if id, _ := few.GlyphIndex(nil, 'B'); id != 0 {
			t.Errorf("B is there, as glyph %d", id)
		}
		// SIL Open Font License 1.1, conditions 2 and 3: the notices stay, the reserved name goes.
		family, _ := few.Name(nil, sfnt.NameIDFamily)
		licence, _ := few.Name(nil, sfnt.NameIDLicense)
		wantLicence, _ := whole.Name(nil, sfnt.NameIDLicense)
		if family != "lapstrake" || licence != wantLicence || licence == "" {
			t.Errorf("the font is called %q, on the terms %q", family, licence)
		}
	}
}

func outline(t *testing.T, f *sfnt.Font, letter rune, size fixed.Int26_6) (sfnt.Segments, fixed.Int26_6) {
	t.Helper()
	var buffer sfnt.Buffer
	id, err := f.GlyphIndex(&buffer, letter)
	if err != nil || id == 0 {
		t.Fatalf("%q is glyph %d: %v", letter, id, err)
	}
	advance, err := f.GlyphAdvance(&buffer, id, size, font.HintingNone)
	if err != nil {
		t.Fatal(err)
	}
	segments, err := f.LoadGlyph(&buffer, id, size, nil)
	if err != nil {
		t.Fatal(err)
	}
	return append(sfnt.Segments{}, segments...), advance
}
