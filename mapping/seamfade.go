// The fade at seams: how loud each zone of a key is, so that no rank is loud where it changes zones.

package mapping

import "math"

// MostSeamFadeDB is the deepest fade. On any zone it is as good as a fade into silence: a key's own distance from its
// seam keeps it higher.
const MostSeamFadeDB = 60

// ZoneGain is the gain, not in dB, of zone z at a key that it holds. Where a map fades at seams, each rank falls
// towards its own seams and the others carry: the powers of the zones add up to the same at every key, which is the
// number of zones that most sound at once. A rank that sounds alone has all of it. Without a fade, every gain is 1.
// What the zone was nudged comes on top; the others do not make up for it. It is the one place that says how loud the
// zones of a key are.
func (m *Map) ZoneGain(z *Zone, key int) float64 {
	gain := z.NudgeGain()
	if m.SeamFadeDB == 0 || gain == 0 {
		return gain
	}
	sum := 0.0
	for _, i := range m.ZonesUnder(key) {
		sum += m.seamPower(&m.Zones[i], m.place(key))
	}
	return gain * math.Sqrt(float64(m.MostZones())*(m.seamPower(z, m.place(key))/sum))
}

// seamPower is the power of a zone at a place of the keyboard before it is set against the others: 1 in the middle of
// the zone, and SeamFadeDB less at its seams, by the square of a sine between them. A zone that ends where the
// keyboard does has no seam there and stays at 1 beyond what would be its middle were it as long as the next zone of
// its rank.
func (m *Map) seamPower(z *Zone, place float64) float64 {
	below, above := m.sounds(z.Low-1), m.sounds(z.High+1)
	length, fromSeam := z.length(), math.Inf(1) // in keys
	if below {
		fromSeam = place - float64(z.Low) + 0.5
	}
	if above {
		fromSeam = min(fromSeam, float64(z.High)-place+0.5)
	}
	if below != above {
		length = max(length, m.besides(z))
	}
	sine := math.Sin(math.Pi / 2 * min(fromSeam/(float64(length)/2), 1))
	least := math.Pow(10, -m.SeamFadeDB/10)
	return least + (1-least)*sine*sine
}

// length is how many keys the zone has.
func (z *Zone) length() int { return z.High - z.Low + 1 }

// besides is the length of the longest zone that stands beside z in its rank; 0 for none.
func (m *Map) besides(z *Zone) (longest int) {
	for i := range m.Zones {
		if next := &m.Zones[i]; next.Rank == z.Rank && (next.High == z.Low-1 || next.Low == z.High+1) {
			longest = max(longest, next.length())
		}
	}
	return longest
}

// sounds says whether any zone sounds at key.
func (m *Map) sounds(key int) bool {
	for i := range m.Zones {
		if m.Zones[i].Holds(key) {
			return true
		}
	}
	return false
}
