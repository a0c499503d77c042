package mapping

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// gainsAt are the gains of the zones at a key, and the sum of their powers.
func gainsAt(m *Map, key int) (gains []float64, power float64) {
	for _, i := range m.ZonesAt(key) {
		gain := m.ZoneGain(&m.Zones[i], key)
		gains, power = append(gains, gain), power+gain*gain
	}
	return gains, power
}

// On any map that fades, all keys that sound have one power, and no zone falls by more than the fade below another.
func TestEveryKeyHasOnePower(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMap(t)
		if m.SeamFadeDB == 0 {
			m.SeamFadeDB = 9
		}
		for key := LowestKey; key <= HighestKey; key++ {
			gains, power := gainsAt(m, key)
			if len(gains) > 0 && math.Abs(power/float64(m.MostZones())-1) > 1e-12 {
				t.Fatalf("key %d: zones of a power of %v, want %d", key, power, m.MostZones())
			}
			for _, a := range gains {
				for _, b := range gains {
					if fallsDB := 20 * math.Log10(b/a); !(fallsDB <= m.SeamFadeDB+1e-9) {
						t.Fatalf("key %d: a zone %v dB below another, where the fade is %v dB", key,
							fallsDB, m.SeamFadeDB)
					}
				}
			}
		}
	})
}

func TestMostZones(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, want := drawMap(t), 0
		for key := LowestKey; key <= HighestKey; key++ {
			want = max(want, len(m.ZonesAt(key)))
		}
		if got := m.MostZones(); got != want {
			t.Fatalf("%d zones, want %d", got, want)
		}
	})
}

// Without a fade nothing changes, and a rank that is alone has nothing to fade against.
func TestNothingFades(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMap(t)
		if rapid.Bool().Draw(t, "off") {
			m.SeamFadeDB = 0
		} else {
			m.Zones = m.Zones[:1]
		}
		for i := range m.Zones {
			for key := m.Zones[i].Low; key <= m.Zones[i].High; key++ {
				if gain := m.ZoneGain(&m.Zones[i], key); gain != 1 {
					t.Fatalf("key %d: gain %v, want 1", key, gain)
				}
			}
		}
	})
}

// The rule in figures, on a deep fade: in a zone of twelve keys the sine of a key's middle, 1/24, 3/24 … of half a
// turn. Two ranks half a zone apart have sine and cosine; of three ranks a third apart, the squares add up to 3/2.
func TestFadeFollowsASine(t *testing.T) {
	for ranks, sum := range map[int]float64{2: 1, 3: 1.5, 4: 2} {
		g := DefaultGrid()
		g.Ranks, g.SeamFadeDB = ranks, MostSeamFadeDB
		m := New()
		if _, err := Generate(m, bedsOf(m, g.Roots()...), g); err != nil {
			t.Fatal(err)
		}
		for key := 45; key <= 84; key++ { // away from the ends of the keyboard
			for _, i := range m.ZonesAt(key) {
				z := &m.Zones[i]
				sine := math.Sin(math.Pi * (float64(key-z.Low) + 0.5) / 12)
				want := math.Sqrt(float64(ranks)/sum) * sine
				if got := m.ZoneGain(z, key); math.Abs(got-want) > 1e-5 {
					t.Errorf("%d ranks, key %d, root %d: gain %v, want %v", ranks, key, z.Root, got, want)
				}
			}
		}
	}
}

// At each seam of the default grid the rank that changes zones is 11 dB down, the other carries, and what is heard of
// the first does not step. At both ends of the keyboard, where nothing changes, both ranks are heard.
func TestDefaultFade(t *testing.T) {
	m := New()
	if _, err := Generate(m, bedsOf(m, DefaultGrid().Roots()...), DefaultGrid()); err != nil {
		t.Fatal(err)
	}
	for i := range m.Zones {
		for j := range m.Zones {
			below, above := &m.Zones[i], &m.Zones[j]
			if below.Rank != above.Rank || below.High+1 != above.Low {
				continue
			}
			softer, softest := m.ZoneGain(below, below.High), m.ZoneGain(above, above.Low)
			for _, gain := range []float64{softer, softest} {
				if otherDB := 10 * math.Log10((2-gain*gain)/(gain*gain)); math.Abs(otherDB-11) > 0.1 {
					t.Errorf("seam above key %d: %.2f dB below the other rank, want 11", below.High, otherDB)
				}
			}
			if stepDB := 20 * math.Log10(softer/softest); math.Abs(stepDB) > 0.1 {
				t.Errorf("seam above key %d: the rank steps by %.2f dB", below.High, stepDB)
			}
		}
	}
	for _, key := range []int{21, 108} {
		gains, _ := gainsAt(m, key)
		if differDB := 20 * math.Log10(gains[0]/gains[1]); math.Abs(differDB) > 2 {
			t.Errorf("key %d: the ranks differ by %.2f dB", key, differDB)
		}
	}
}

// A map by hand: a rank of one zone over the whole keyboard has no seam and always carries; a rank that ends where the
// other goes on falls there.
func TestFadeOfUnequalZones(t *testing.T) {
	m := New()
	m.SeamFadeDB = 20
	m.Zones = []Zone{{Rank: "low", Low: 30, High: 49}, {Rank: "all", Low: 30, High: 89},
		{Rank: "low", Low: 50, High: 53}}
	all, gainDB := &m.Zones[1], func(z *Zone, key int) float64 { return 20 * math.Log10(m.ZoneGain(z, key)) }
	for _, c := range []struct {
		zone       *Zone
		key        int
		low, highs float64
	}{
		{&m.Zones[0], 30, -0.1, 0.1}, {all, 30, -0.1, 0.1}, // the ends of the keyboard
		{&m.Zones[0], 49, -15.1, -14.9}, {all, 49, 2.9, 3.02}, {&m.Zones[2], 50, -10, -5}, {&m.Zones[2], 53, -10, -5},
		{all, 54, 3, 3.02}, {all, 89, 3, 3.02}, // alone: as loud as both
	} {
		if got := gainDB(c.zone, c.key); got < c.low || got > c.highs {
			t.Errorf("rank %s, key %d: %.2f dB, want %v to %v", c.zone.Rank, c.key, got, c.low, c.highs)
		}
	}
}
