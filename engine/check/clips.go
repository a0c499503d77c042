// Short sounds for the report: the chord, and both keys of the worst seams.

package check

import (
	"context"
	"os"
	"path/filepath"

	"lapstrake/mapping/wav"
)

// Clip is a sound of some seconds.
type Clip struct {
	Name string
	WAV  []byte // a whole file, 16 bits
}

const (
	chordClipSec = 8
	keyClipSec   = 1.5
	mostSeams    = 3
)

// Clips renders the chord, and the pairs of keys of the worst findings on seams, as the player plays them at the map's
// own dynamics.
func Clips(ctx context.Context, in Input, report *Report) ([]Clip, error) {
	s := newSubject(in)
	dir, err := os.MkdirTemp("", "lapstrake-clips-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	chord, err := s.clip(ctx, dir, "the chord "+s.names(s.Keys...), chordClipSec, s.Keys)
	if err != nil {
		return nil, err
	}
	clips := []Clip{chord}
	for _, part := range report.Parts {
		seams := 0
		for _, f := range part.Findings {
			if part.Name != "seams" || len(f.Place.Keys) != 2 || seams == mostSeams {
				continue
			}
			seams++
			clip, err := s.clip(ctx, dir, "across the seam: "+s.names(f.Place.Keys...), keyClipSec,
				f.Place.Keys[:1], f.Place.Keys[1:])
			if err != nil {
				return nil, err
			}
			clips = append(clips, clip)
		}
	}
	return clips, nil
}

// clip renders chords one after the other, each for so long.
func (s *subject) clip(ctx context.Context, dir, name string, sec float64, chords ...[]int) (clip Clip, err error) {
	path := filepath.Join(dir, "clip.wav")
	w, err := wav.Create(path, s.m.RateHz, 2, wav.PCM16)
	if err != nil {
		return clip, err
	}
	defer w.Discard()
	for _, keys := range chords {
		heard, err := s.play(ctx, keys, s.m.Dynamics.Initial, sec)
		if err != nil {
			return clip, err
		}
		frames := heard.frames[:min(len(heard.frames), 2*int(sec*float64(s.m.RateHz)))]
		fadeOut(frames, s.m.RateHz/50)
		if err := w.WriteFrames(frames); err != nil {
			return clip, err
		}
	}
	if err := w.Commit(); err != nil {
		return clip, err
	}
	data, err := os.ReadFile(path)
	return Clip{Name: name, WAV: data}, err
}

// fadeOut lets the last frames of interleaved stereo sink to nothing.
func fadeOut(frames []float32, length int) {
	total := len(frames) / 2
	for i := max(total-length, 0); i < total; i++ {
		gain := float32(total-1-i) / float32(length)
		frames[2*i] *= gain
		frames[2*i+1] *= gain
	}
}
