// Levels of the samples as they are stored: peak, true peak, offset.

package takes

import "math"

// measureLevels fills in peak, true peak, offset and clipping, over all channels.
func measureLevels(s *Sound, m *Measures) {
	peak, truePeak, offset := 0.0, 0.0, 0.0
	for _, channel := range s.Channels {
		sum := 0.0
		for _, x := range channel {
			sum += float64(x)
			peak = max(peak, math.Abs(float64(x)))
		}
		if mean := sum / float64(max(1, len(channel))); math.Abs(mean) > math.Abs(offset) {
			offset = mean
		}
		truePeak = max(truePeak, TruePeak(channel))
		runs, samples := clipped(channel, tolerance(s))
		m.ClippedRuns += runs
		m.ClippedMs = max(m.ClippedMs, 1000*float64(samples)/float64(s.RateHz))
	}
	m.PeakDBFS = decibels(peak)
	m.TruePeakDBTP = decibels(truePeak)
	m.DCPercent = 100 * offset
}

// decibels is the level of an amplitude; −Inf for 0.
func decibels(amplitude float64) float64 { return 20 * math.Log10(amplitude) }

// powerDB is the level of a power; −Inf for 0.
func powerDB(power float64) float64 { return 10 * math.Log10(power) }
