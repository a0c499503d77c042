// Checks the drawing of the ranks.

package mapping

import "testing"

func TestDrawingOfTheDefaultGrid(t *testing.T) {
	const want = `            C1          C2          C3          C4          C5          C6          C7          C8
rank C   ├──●├──────────●├──────────●├──────────●├──────────●├──────────●├──────────●├──────────●
rank F#  ├────────●├──────────●├──────────●├──────────●├──────────●├──────────●├──────────●├────┤
zones    2222222222222222222222222222222222222222222222222222222222222222222222222222222222222222
`
	if got := defaultGridMap(t).Drawing(21, 108); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// Silent keys, a zone of one key, a root outside its zone, and more zones than a digit can tell.
func TestDrawingOfOddZones(t *testing.T) {
	m := New()
	m.MiddleC = MiddleC3
	m.Zones = []Zone{{Rank: "x", Root: 70, Low: 61, High: 63}, {Rank: "x", Root: 70, Low: 65, High: 65}}
	for range 10 {
		m.Zones = append(m.Zones, Zone{Rank: "y", Root: 67, Low: 67, High: 80})
	}
	const want = `         C3
rank x    ├─┤ │
rank y          ●─
zones    ·111·1·++
`
	if got := m.Drawing(60, 68); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
