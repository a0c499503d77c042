// How far the timbres of a sound's moments are apart, and which stretch of it is heard again.

package hearing

import (
	"math"
	"slices"
)

const (
	smoothSec  = 1   // two moments are compared by means over so long
	nearRepeat = 0.6 // of the median distance: moments that are nearer sound like a repeat
)

// SelfDistance is how far a sound's timbre is at each second from what it is at others.
type SelfDistance struct {
	seconds [][]float64 // dB in each band less their mean, means over a second
}

// SelfDistance compares the seconds of a sound.
func (t *Timbre) SelfDistance() *SelfDistance {
	per := int(smoothSec / stepSec)
	var means [][]float64
	for from := 0; from+per <= len(t.rows); from += per {
		mean := make([]float64, len(t.rows[0]))
		for _, row := range t.rows[from:][:per] {
			for band, db := range row {
				mean[band] += db / float64(per)
			}
		}
		means = append(means, mean)
	}
	return &SelfDistance{shapes(means)}
}

// Seconds is how many seconds there are to compare.
func (s *SelfDistance) Seconds() int { return len(s.seconds) }

// DistanceDB is how far the timbres of two seconds are apart: the root of the mean square over the bands.
func (s *SelfDistance) DistanceDB(a, b int) float64 {
	sum := 0.0
	for band, db := range s.seconds[a] {
		d := db - s.seconds[b][band]
		sum += d * d
	}
	return math.Sqrt(sum / float64(max(len(s.seconds[a]), 1)))
}

// ChangesDB are the distances of all moments from those lag seconds later.
func (s *SelfDistance) ChangesDB(lag int) []float64 {
	var all []float64
	for k := 0; k+lag < len(s.seconds); k++ {
		all = append(all, s.DistanceDB(k, k+lag))
	}
	return all
}

// Repeat is a stretch that sounds like an earlier one.
type Repeat struct {
	Sec    int // how long; 0: there is none
	LagSec int // how much later it is heard again
	AtSec  int // where it is heard first
}

// LongestRepeat finds the longest stretch that is heard again at least lag seconds later: all of its moments are
// within 0.6 of the median distance of moments that are at least 5 s apart.
func (s *SelfDistance) LongestRepeat(lag int) (longest Repeat) {
	var all []float64
	for apart := 5; apart < len(s.seconds); apart++ {
		all = append(all, s.ChangesDB(apart)...)
	}
	if len(all) == 0 {
		return longest
	}
	slices.Sort(all)
	near := nearRepeat * all[len(all)/2]
	for ; lag < len(s.seconds); lag++ {
		run := 0
		for k, db := range s.ChangesDB(lag) {
			if run++; db >= near {
				run = 0
			}
			if run > longest.Sec {
				longest = Repeat{run, lag, k - run + 1}
			}
		}
	}
	return longest
}
