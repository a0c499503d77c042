// One file of the WAV set.

package export

import (
	"fmt"
	"math"

	"lapstrake/mapping/wav"
)

// writeWAV writes an item as WAV: bext, fmt and data, then smpl, inst and INFO.
func (j *Job) writeWAV(i *Item, path string, m measures, step stepped) (clipped int64, err error) {
	labels := j.wavLabels(i, m)
	extras := wav.Extras{
		Before: []wav.Chunk{labels.Broadcast.Chunk()},
		After:  []wav.Chunk{labels.Sampler.Chunk(i.Cycle.RateHz), labels.Instrument.Chunk(), wav.TextChunk(labels.Texts...)},
		Seed:   i.seed(),
	}
	w, err := wav.CreateWith(path, i.Cycle.RateHz, 2, j.Format, extras)
	if err != nil {
		return 0, err
	}
	defer w.Discard()
	err = i.each(0, i.Frames(), func(piece []float32, _ int64) error {
		if err := step(len(piece) / 2); err != nil {
			return err
		}
		return w.WriteFrames(piece)
	})
	if err != nil {
		return 0, err
	}
	return w.Clipped(), w.Commit()
}

// wavLabels is what a file says about itself.
func (j *Job) wavLabels(i *Item, m measures) wav.Labels {
	span := i.span()
	return wav.Labels{
		Sampler: &wav.Sampler{RootKey: i.Zone.Root, Loops: []wav.Loop{{StartFrame: 0, EndFrame: i.Frames() - 1}}},
		Instrument: &wav.Instrument{RootKey: i.Zone.Root, LowKey: span.Low, HighKey: span.High,
			LowVelocity: lowestVelocity, HighVelocity: highestVelocity, GainDB: int(math.Round(-j.Map.Headroom))},
		Broadcast: &wav.Broadcast{
			Description: j.describe(i), Originator: software,
			CodingHistory: j.codingHistory(i.Cycle.RateHz),
			LoudnessLUFS:  m.integrated, RangeLU: math.NaN(), TruePeakDBTP: m.truePeak,
			MaxMomentaryLUFS: m.maxMomentary, MaxShortTermLUFS: m.maxShortTerm,
		},
		Texts: []wav.Text{{ID: "INAM", Text: j.itemTitle(i)}, {ID: "IART", Text: j.Artist}, {ID: "IPRD", Text: j.Title},
			{ID: "ICMT", Text: j.describe(i)}, {ID: "ISFT", Text: software}},
	}
}

// Velocities that sound: 0 is a note-off (MIDI 1.0).
const lowestVelocity, highestVelocity = 1, 127

// itemTitle is what a person calls the file.
func (j *Job) itemTitle(i *Item) string {
	return fmt.Sprintf("%s: %s %s, rank %s", j.Title, j.Map.Layers[i.Layer], j.Map.MiddleC.Name(i.Zone.Root), i.Zone.Rank)
}

// describe tells what the file is for.
func (j *Job) describe(i *Item) string {
	span := i.span()
	text := fmt.Sprintf("rank %s, layer %s, root %s, keys %s to %s, start %.4g turns, endless cycle of %.3f s", i.Zone.Rank, j.Map.Layers[i.Layer],
		j.keyText(i.Zone.Root), j.keyText(span.Low), j.keyText(span.High), i.Start, i.Cycle.Seconds(0))
	if i.Of > 1 {
		text += fmt.Sprintf(", press %d of %d", i.Press, i.Of)
	}
	return text
}

// keyText is a key as name and number.
func (j *Job) keyText(key int) string { return fmt.Sprintf("%s (%d)", j.Map.MiddleC.Name(key), key) }

// codingHistory is a line of EBU R 98.
func (j *Job) codingHistory(rateHz int) string {
	algorithm := "PCM"
	if j.Format == wav.Float {
		algorithm = "FLOAT"
	}
	return fmt.Sprintf("A=%s,F=%d,W=%d,M=stereo,T=%s\r\n", algorithm, rateHz, 8*j.Format.Encoding().Bytes(), software)
}
