// What a take is tuned by, and to where.

package beds

import (
	"math"
	"testing"

	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/measure"
)

func TestDoubtfulPitchesTuneNothing(t *testing.T) {
	row := takes.NewRow("slip/plank.wav")
	row.Kind, row.Pitch = measure.Struck, measure.Pitch{Hz: 33, Confidence: measure.SurePitch / 2}
	if hz := pitchOf(&row); !math.IsNaN(hz) {
		t.Errorf("a doubtful pitch tunes by %v Hz, want none", hz)
	}
	row.Key = 48 // the builder knows; what was measured is 15 cents above an octave of it
	if hz := pitchOf(&row); hz != 132 {
		t.Errorf("the builder's key 48 tunes by %v Hz, want 132, two octaves above the measured pitch", hz)
	}
	row.Key, row.Pitch.Confidence = -1, 1
	if hz := pitchOf(&row); hz != 33 {
		t.Errorf("a sure pitch tunes by %v Hz, want 33", hz)
	}
	row.Kind = measure.Noisy
	if hz := pitchOf(&row); !math.IsNaN(hz) {
		t.Errorf("noise is tuned by %v Hz, want none", hz)
	}
}

// What the builder says of a layer or strand stands; a suggestion may be left where a bed lacks takes.
func TestTheBuilderOverrulesSuggestions(t *testing.T) {
	for _, c := range []struct {
		said, suggested, want string
		fixed                 bool
	}{
		{"", "soft", "soft", false}, {"loud", "soft", "loud", true}, {takes.Both, "soft", "", false},
		{"", takes.Both, "", false}, {"", "", "", false},
	} {
		row := takes.NewRow("slip/plank.wav")
		row.Layer, row.SuggestedLayer = c.said, c.suggested
		row.Strand, row.SuggestedStrand = c.said, c.suggested
		got := Candidates([]*takes.Row{&row})[0]
		if got.Layer != c.want || got.LayerFixed != c.fixed || got.Strand != c.want || got.StrandFixed != c.fixed {
			t.Errorf("said %q, suggested %q: layer %q (fixed %v), strand %q (fixed %v), want %q (%v)",
				c.said, c.suggested, got.Layer, got.LayerFixed, got.Strand, got.StrandFixed, c.want, c.fixed)
		}
		if every := c.said == takes.Both; got.EveryLayer != every || got.EveryStrand != every {
			t.Errorf("said %q: wanted in every layer %v, in every strand %v, want %v", c.said, got.EveryLayer,
				got.EveryStrand, every)
		}
	}
}

// A take is tuned and arranged as the builder says what it does.
func TestTheBuildersKindIsUsed(t *testing.T) {
	row := takes.NewRow("slip/plank.wav")
	row.Kind, row.Pitch = measure.Held, measure.Pitch{Hz: 220, Confidence: 0.95}
	row.SaidKind = measure.Struck
	if got := newIngredient(&row, 60).Kind; got != measure.Struck {
		t.Errorf("a held take that the builder calls struck goes in as %s", got)
	}
	row.SaidKind = measure.Noisy
	if got := Candidates([]*takes.Row{&row})[0]; !got.IsNoisy() || newIngredient(&row, 60).TakeKey >= 0 {
		t.Errorf("a take that the builder calls noisy is tuned: %+v", got)
	}
}
