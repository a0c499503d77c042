// Writer of one file of the WAV set.

package export

import (
	"fmt"
	"math"
	"strings"
	"time"

	"lapstrake/mapping/wav"
)

// writeWAV writes an item, which is measured, as WAV. The chunks stand as the standards list them: bext, fmt, cue and
// its labels, data (EBU Tech 3285; Multimedia Programming Interface and Data Specifications 1.0, WAVE form), then
// those of which they say nothing: smpl, inst, INFO and axml.
func (j *Job) writeWAV(i *Item, path string, step stepped) (clipped int64, err error) {
	labels, err := j.wavLabels(i)
	if err != nil {
		return 0, err
	}
	extras := wav.Extras{
		Before: []wav.Chunk{labels.Broadcast.Chunk()},
		Seed:   i.seed(),
	}
	if labels.Cues != nil {
		extras.Between = wav.CueChunks(labels.Cues)
	}
	extras.After = append(extras.After, labels.Sampler.Chunk(i.Cycle.RateHz))
	if labels.Instrument != nil {
		extras.After = append(extras.After, labels.Instrument.Chunk())
	}
	extras.After = append(extras.After, wav.TextChunk(labels.Texts...))
	if labels.XML != "" {
		extras.After = append(extras.After, wav.XMLChunk(labels.XML))
	}
	w, err := wav.CreateWith(path, i.Cycle.RateHz, i.Cycle.channels(), j.Format, extras)
	if err != nil {
		return 0, err
	}
	defer w.Discard()
	err = i.each(0, i.Frames(), func(piece []float32, _ int64) error {
		if err := step(len(piece) / 2); err != nil {
			return err
		}
		return w.WriteFrames(i.stored(piece))
	})
	if err != nil {
		return 0, err
	}
	return w.Clipped(), w.Commit()
}

// wavLabels gives what a file says about itself. A file for several runs of keys has no inst chunk: that could give
// only one of them.
func (j *Job) wavLabels(i *Item) (labels wav.Labels, err error) {
	m := i.measured
	labels = wav.Labels{
		Sampler: &wav.Sampler{RootKey: i.Zone.Root, Loops: []wav.Loop{{StartFrame: 0, EndFrame: i.Frames() - 1}}},
		Broadcast: &wav.Broadcast{
			Description: j.describe(i), Originator: software,
			CodingHistory: j.codingHistory(i),
			LoudnessLUFS:  m.integratedLUFS, RangeLU: math.NaN(), TruePeakDBTP: m.truePeakDBTP,
			MaxMomentaryLUFS: m.maxMomentaryLUFS, MaxShortTermLUFS: m.maxShortTermLUFS,
		},
		Texts: []wav.Text{{ID: "INAM", Text: j.itemTitle(i)}, {ID: "IART", Text: j.Artist},
			{ID: "IPRD", Text: j.Title}, {ID: "ICMT", Text: j.describe(i)}, {ID: "ICOP", Text: j.rights(i)},
			{ID: "ISFT", Text: software}},
		Cues: j.cues(i),
	}
	if !j.Date.IsZero() {
		date := j.Date.UTC()
		labels.Broadcast.Date, labels.Broadcast.Time = date.Format(time.DateOnly), date.Format(time.TimeOnly)
		labels.Texts = append(labels.Texts, wav.Text{ID: "ICRD", Text: date.Format(time.DateOnly)})
	}
	if keys := i.Keys[0]; len(i.Keys) == 1 {
		labels.Instrument = &wav.Instrument{RootKey: i.Zone.Root, LowKey: keys.Low, HighKey: keys.High,
			LowVelocity: lowestVelocity, HighVelocity: highestVelocity, GainDB: int(math.Round(-j.Map.HeadroomDB))}
	}
	labels.XML, err = j.ebuCoreOf(i)
	return labels, err
}

// Velocities that sound: 0 is a note-off (MIDI 1.0).
const lowestVelocity, highestVelocity = 1, 127

// itemTitle is a title for people to read.
func (j *Job) itemTitle(i *Item) string {
	return fmt.Sprintf("%s: %s %s, rank %s", j.Title, j.Map.Layers[i.Layer], j.Map.MiddleC.Name(i.Zone.Root),
		i.Zone.Rank)
}

// describe says what the file is for.
func (j *Job) describe(i *Item) string {
	var keys []string
	for _, run := range i.Keys {
		keys = append(keys, j.keyText(run.Low)+" to "+j.keyText(run.High))
	}
	text := fmt.Sprintf("rank %s, layer %s, root %s, keys %s, start %.4g turns, endless cycle of %.3f s",
		i.Zone.Rank, j.Map.Layers[i.Layer], j.keyText(i.Zone.Root), strings.Join(keys, " and "), i.Start,
		i.Cycle.Seconds(0))
	if i.Of > 1 {
		text += fmt.Sprintf(", press %d of %d", i.Press, i.Of)
	}
	return text
}

// keyText gives a key as name and number.
func (j *Job) keyText(key int) string { return fmt.Sprintf("%s (%d)", j.Map.MiddleC.Name(key), key) }

// codingHistory gives a line as EBU R 98 lays it out.
func (j *Job) codingHistory(i *Item) string {
	algorithm, mode := "PCM", "stereo"
	if i.Cycle.Mono {
		mode = "mono"
	}
	if j.Format == wav.Float {
		algorithm = "FLOAT"
	}
	return fmt.Sprintf("A=%s,F=%d,W=%d,M=%s,T=%s\r\n", algorithm, i.Cycle.RateHz,
		8*j.Format.Encoding().Bytes(), mode, software)
}
