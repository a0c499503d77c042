// Writer and proof of the part that travels: a short score, its sound, and what to expect of it.

package export

import (
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"

	"lapstrake/mapping/compare"
	"lapstrake/mapping/wav"
	"lapstrake/mapping/whole"
)

// Performance is a score that tries the instrument, and how the player plays it.
type Performance struct {
	Score    []byte // a Standard MIDI File
	RateHz   int
	Frames   int64 // of its sound
	Sections []compare.Section
	// Play gives take the stereo frames of the sound in their order, the same each time; take's error ends it.
	Play func(take func(frames []float32) error) error
}

// The files of the part.
const (
	scoreFile  = "score.mid"
	renderFile = "render.wav"
)

// performanceFormat is that of the sound: what a comparison needs.
const performanceFormat = wav.PCM24

func (j *Job) performanceBytes([]Item) (int64, error) {
	if j.Performance == nil {
		return 0, errors.New("there is no score to prove the instrument by")
	}
	const besideSoundBytes = 16384
	soundBytes := j.Performance.Frames * int64(2*performanceFormat.Encoding().Bytes())
	return int64(len(j.Performance.Score)) + soundBytes + besideSoundBytes, nil
}

// writePerformance writes score and sound, and measures the latter.
func (j *Job) writePerformance(_ []Item, at fileAt, step stepped) ([]int64, error) {
	p := j.Performance
	out, err := wav.Create(at.path(), p.RateHz, 2, performanceFormat)
	if err != nil {
		return nil, err
	}
	defer out.Discard()
	sound := compare.Sound{RateHz: p.RateHz, Channels: make([][]float32, 2)}
	err = p.Play(func(frames []float32) error {
		for k, sample := range frames {
			sound.Channels[k%2] = append(sound.Channels[k%2], sample)
		}
		if err := step(0); err != nil {
			return err
		}
		return out.WriteFrames(frames)
	})
	if err != nil {
		return nil, err
	}
	if err := out.Commit(); err != nil {
		return nil, err
	}
	expected, err := compare.Expect(scoreFile, renderFile, sound, p.Sections)
	if err != nil {
		return nil, err
	}
	text, err := json.MarshalIndent(expected, "", "  ")
	if err != nil {
		return nil, err
	}
	folder := filepath.Dir(at.path())
	return []int64{out.Clipped()}, errors.Join(
		whole.Write(filepath.Join(folder, compare.ExpectedFile), append(text, '\n')),
		whole.Write(filepath.Join(folder, scoreFile), p.Score))
}

// provePerformance plays the score once more beside the file.
func (j *Job) provePerformance(_ []Item, at fileAt, clipped []int64, step stepped) ([]Proof, error) {
	file, err := wav.Open(at.path())
	if err != nil {
		return nil, err
	}
	defer file.Close()
	c := newComparison(8*performanceFormat.Encoding().Bytes(), false)
	pos, stored := int64(0), []float32(nil)
	err = j.Performance.Play(func(frames []float32) error {
		if left := file.Info.Frames - pos; left < int64(len(frames)/2) {
			return fmt.Errorf("%s: read back, it has %d frames, and the player goes on", at.name, file.Info.Frames)
		}
		if len(stored) < len(frames) {
			stored = make([]float32, len(frames))
		}
		if err := file.ReadStereo(stored[:len(frames)], pos); err != nil {
			return err
		}
		for k, source := range frames {
			c.add(stored[k], source)
		}
		pos += int64(len(frames) / 2)
		return step(0)
	})
	if err != nil {
		return nil, err
	}
	proof, err := c.proof(at.name, file.Info.Frames, clipped[0])
	return []Proof{proof}, err
}

// performanceSection tells how others' renderings of the score are compared with the player's.
func (j *Job) performanceSection([]Item, map[string]any) (string, error) {
	return howToProofText, nil
}

//go:embed howtoproof.txt
var howToProofText string
