// Levels of the samples as they are stored: peak, true peak, offset, clipping, loudness.

package measure

import (
	"math"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
)

// measureLevels fills in peak, true peak, offset and clipping, over all channels.
func measureLevels(s *decode.Sound, m *Measures) {
	l := newLevels(len(s.Channels))
	l.add(s.Channels)
	c := l.clipping(tolerance(s.Bits))
	c.add(s.Channels)
	l.fill(m)
	c.fill(m, s.RateHz)
}

// levels takes in the channels of a sound block by block.
type levels struct {
	frames   int64
	channels []channelLevels
}

type channelLevels struct {
	sum             float64
	highest, lowest float32 // 0 where no sample is above or below it
	peak            sound.PeakMeter
}

func newLevels(channels int) *levels { return &levels{channels: make([]channelLevels, channels)} }

func (l *levels) add(block [][]float32) {
	l.frames += int64(len(block[0]))
	for c, channel := range block {
		of := &l.channels[c]
		for _, x := range channel {
			of.sum += float64(x)
			of.highest, of.lowest = max(of.highest, x), min(of.lowest, x)
		}
		of.peak.Add(channel)
	}
}

// offset is the mean of a channel.
func (l *levels) offset(channel int) float64 {
	return l.channels[channel].sum / float64(max(1, l.frames))
}

func (l *levels) fill(m *Measures) {
	peak, truePeak, offset := 0.0, 0.0, 0.0
	for c := range l.channels {
		of := &l.channels[c]
		peak = max(peak, float64(of.highest), -float64(of.lowest))
		truePeak = max(truePeak, of.peak.TruePeak())
		if mean := l.offset(c); math.Abs(mean) > math.Abs(offset) {
			offset = mean
		}
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
	m.fillLoudness(meter)
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

func (m *Measures) fillLoudness(meter *sound.Meter) {
	m.LoudnessLUFS = meter.IntegratedLUFS()
	m.MaxMomentaryLUFS = meter.MaxMomentaryLUFS()
	m.MaxShortTermLUFS = meter.MaxShortTermLUFS()
}
