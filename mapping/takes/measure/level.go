// Levels of the samples as they are stored: peak, true peak, offset.

package measure

import (
	"math"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
)

// measureLevels fills in peak, true peak, offset and clipping, over all channels.
func measureLevels(s *decode.Sound, m *Measures) {
	peak, truePeak, offset := 0.0, 0.0, 0.0
	for _, channel := range s.Channels {
		peak = max(peak, float64(sound.Peak(channel)))
		if mean := sound.Mean(channel); math.Abs(mean) > math.Abs(offset) {
			offset = mean
		}
		truePeak = max(truePeak, sound.TruePeak(channel))
		runs, samples := clipped(channel, tolerance(s))
		m.ClippedRuns += runs
		m.ClippedMs = max(m.ClippedMs, 1000*float64(samples)/float64(s.RateHz))
	}
	m.PeakDBFS = sound.AmplitudeDB(peak)
	m.TruePeakDBTP = sound.AmplitudeDB(truePeak)
	m.DCPercent = 100 * offset
}

// measureLoudness fills in the loudness of the channels as they are stored, and the level from onset to end.
func measureLoudness(s *decode.Sound, onset, end int, m *Measures) {
	weights := sound.ChannelWeights(len(s.Channels))
	meter := sound.NewMeter(s.RateHz, weights)
	meter.Add(s.Channels...)
	m.LoudnessLUFS = meter.IntegratedLUFS()
	m.MaxMomentaryLUFS = meter.MaxMomentaryLUFS()
	m.MaxShortTermLUFS = meter.MaxShortTermLUFS()
	m.KLevelLUFS = meter.LevelLUFS()
	if end <= onset || onset == 0 && end == s.Frames() {
		return
	}
	part := make([][]float32, len(s.Channels))
	for c, channel := range s.Channels {
		part[c] = channel[onset:end]
	}
	sounding := sound.NewMeter(s.RateHz, weights)
	sounding.Add(part...)
	m.KLevelLUFS = sounding.LevelLUFS()
}
