// Checks where notes begin in their cycles.

package mapping

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// The three ways of a stagger on one zone that starts at ½, with a list of three.
func TestStartByZoneKeyAndPress(t *testing.T) {
	z := Zone{Root: 72, Low: 61, High: 72, Start: 0.5}
	for _, c := range []struct {
		by   By
		want [4]float64 // keys 63, 64, 65, 66, pressed in this order
	}{
		{ByZone, [4]float64{0.5, 0.5, 0.5, 0.5}},
		{ByKey, [4]float64{0.5, 0.75, 0.25, 0.5}},
		{ByPress, [4]float64{0.5, 0.75, 0.25, 0.5}},
	} {
		m := New()
		m.Stagger = Stagger{By: c.by, Starts: []float64{0, 0.25, 0.75}}
		for press, want := range c.want {
			if got := m.Start(&z, 63+press, int64(press)); got != want {
				t.Errorf("by %s, key %d, press %d: %v, want %v", c.by, 63+press, press, got, want)
			}
		}
	}
	m := New()
	m.Stagger = Stagger{By: ByPress, Starts: []float64{0, 0.25, 0.75}}
	if first, again := m.Start(&z, 63, 0), m.Start(&z, 63, 1); first == again {
		t.Errorf("by press: the same key starts at %v twice running", first)
	}
	m.Stagger.By = ByKey
	if first, again := m.Start(&z, 63, 0), m.Start(&z, 63, 1); first != again {
		t.Errorf("by key: the same key starts at %v, then at %v", first, again)
	}
}

// A head is kept in memory for each of Starts, so none that Start can return may be missing.
func TestStartsListsWhatStartReturns(t *testing.T) {
	start := rapid.Float64Range(0, math.Nextafter(1, 0))
	rapid.Check(t, func(t *rapid.T) {
		m := New()
		m.Stagger = Stagger{
			By:     rapid.SampledFrom([]By{ByZone, ByKey, ByPress}).Draw(t, "by"),
			Starts: rapid.SliceOfN(start, 1, 9).Draw(t, "starts"),
		}
		z := Zone{Low: rapid.IntRange(0, 127).Draw(t, "low"), Start: start.Draw(t, "start")}
		z.High = rapid.IntRange(z.Low, 127).Draw(t, "high")
		listed := m.Starts(&z)
		returned := map[float64]bool{}
		for key := z.Low; key <= z.High; key++ {
			for press := range int64(2 * len(m.Stagger.Starts)) {
				got := m.Start(&z, key, press)
				if !(got >= 0 && got < 1) {
					t.Fatalf("key %d, press %d: start %v is outside [0, 1)", key, press, got)
				}
				if !slices.Contains(listed, got) {
					t.Fatalf("key %d, press %d: start %v is not in %v", key, press, got, listed)
				}
				returned[got] = true
			}
		}
		if m.Start(&z, z.Low, math.MaxInt64) < 0 {
			t.Fatal("a very late press has a negative start")
		}
		if len(returned) != len(listed) {
			t.Fatalf("%d starts listed, %d can be returned", len(listed), len(returned))
		}
	})
}

// Each start of the golden ratio falls into a widest gap, and no gap is ever wider than φ² times
// another (Knuth, The Art of Computer Programming 3, 6.4: theorem S and its corollary for φ).
func TestGoldenStartsSpread(t *testing.T) {
	const rounding = 2e-6
	goldenSquare := (3 + math.Sqrt(5)) / 2
	all := GoldenStarts(200)
	for n := 1; n < len(all); n++ {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			if !slices.Equal(GoldenStarts(n), all[:n]) {
				t.Fatal("a shorter list is not the beginning of a longer one")
			}
			placed := slices.Sorted(slices.Values(all[:n]))
			widest, narrowest, into := 0.0, 1.0, 0.0
			for i, from := range placed {
				to := 1 + placed[0]
				if i+1 < n {
					to = placed[i+1]
				}
				widest, narrowest = max(widest, to-from), min(narrowest, to-from)
				if from < all[n] && all[n] < to {
					into = to - from
				}
			}
			if into < widest-rounding {
				t.Errorf("start %v falls into a gap of %v, the widest is %v", all[n], into, widest)
			}
			if widest > narrowest*goldenSquare+4*rounding {
				t.Errorf("gaps of %v and %v", narrowest, widest)
			}
		})
	}
}
