// Short sounds for the report: the chord, and what each finding is about.

package check

import (
	"context"
	"slices"

	"lapstrake/engine"
	"lapstrake/engine/show"
	"lapstrake/mapping"
	"lapstrake/mapping/sound"
)

// Clip is a sound of some seconds.
type Clip struct {
	Name    string
	Finding string // its ID; "" for the chord
	FLAC    []byte // a whole file, 16 bits
	Sec     float64
}

// MostClipBytes is what the files of all clips of a report may take together.
const MostClipBytes = 6_000_000

const (
	chordClipSec   = 8
	sceneSec       = 2
	latestSceneSec = 120 // no scene begins later in a chord
)

// Scene is a stretch of sound in a clip: keys as the player plays them, or a place in a cycle as it lies there.
type Scene struct {
	Keys     []int   `json:"keys,omitempty"`
	Dynamics int     `json:"dynamics"`           // value of the controller
	Sweep    bool    `json:"sweep,omitempty"`    // the dynamics rise and fall instead
	FromSec  float64 `json:"from_sec,omitempty"` // after the keys were struck
	Mono     bool    `json:"mono,omitempty"`     // both sides sound the same

	InCycle   bool  `json:"in_cycle,omitempty"`
	Zone      int   `json:"zone,omitempty"`
	Layer     int   `json:"layer,omitempty"`
	FromFrame int64 `json:"from_frame,omitempty"`

	Sec float64 `json:"sec"`
}

// Clips renders the chord, and for each finding that can be heard what it is about, the gravest first, as the player
// plays them. progress is called with the part that is done, 0 to 1; it may be nil. left is how many findings got no
// clip because there was no room for more.
func Clips(
	ctx context.Context, in Input, report *Report, progress func(part float64),
) (clips []Clip, left int, err error) {
	s := newSubject(in)
	chord, err := s.clip(ctx, []Scene{{Keys: s.Keys, Dynamics: s.m.Dynamics.Initial, Sec: chordClipSec}})
	if err != nil {
		return nil, 0, err
	}
	chord.Name = "The chord " + s.shortNames(s.Keys)
	clips = []Clip{chord}
	total := len(chord.FLAC)
	all := report.gravestFirst()
	for i, f := range all {
		if progress != nil {
			progress(float64(i+1) / float64(len(all)+1))
		}
		name, scenes := s.scenes(f)
		if len(scenes) == 0 {
			continue
		}
		if left > 0 {
			left++
			continue
		}
		clip, err := s.clip(ctx, scenes)
		if err != nil {
			return nil, 0, err
		}
		if total+len(clip.FLAC) > MostClipBytes {
			left++
			continue
		}
		clip.Name, clip.Finding = name, f.ID
		clips, total = append(clips, clip), total+len(clip.FLAC)
	}
	return clips, left, nil
}

// gravestFirst lists the findings of all parts: failures, then warnings. Waived ones count as neither.
func (r *Report) gravestFirst() (all []Finding) {
	for _, part := range r.Parts {
		for _, f := range part.Findings {
			if f.Waived == "" {
				all = append(all, f)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b Finding) int { return b.Verdict.rank() - a.Verdict.rank() })
	return all
}

// scenes says what to play for a finding: what its check asks for, or what its place says. There are none for what
// cannot be heard.
func (s *subject) scenes(f Finding) (name string, scenes []Scene) {
	if f.hear != nil {
		return f.hear.Name, f.hear.Scenes
	}
	dynamics := s.m.Dynamics.Initial
	if f.Place.Dynamics != nil {
		dynamics = *f.Place.Dynamics
	}
	play := func(keys ...int) Scene { return Scene{Keys: keys, Dynamics: dynamics, Sec: sceneSec} }
	keys := f.Place.Keys
	if zone, layer, fromFrame, ok := s.inBed(f.Place); ok {
		return f.Place.Bed, []Scene{{InCycle: true, Zone: zone, Layer: layer, FromFrame: fromFrame, Sec: 2 * sceneSec}}
	}
	switch _, along := f.Place.alongKeys(); {
	case len(keys) == 0:
		return "", nil
	case along && len(keys) == 2 && !f.Place.gathers:
		return s.name(keys[0]) + ", then " + s.name(keys[1]), []Scene{play(keys[0]), play(keys[1])}
	case along:
		return s.name(keys[0]), []Scene{play(keys[0])}
	}
	return s.shortNames(keys), []Scene{play(keys...)}
}

// inBed finds where in which cycle a place in a bed is, with some sound before it, or where the bed begins.
func (s *subject) inBed(p Place) (zone, layer int, fromFrame int64, ok bool) {
	if p.Bed == "" {
		return 0, 0, 0, false
	}
	for zone := range s.m.Zones {
		for layer, name := range s.m.Layers {
			i := slices.Index(s.m.Zones[zone].Beds[name], p.Bed)
			if i < 0 {
				continue
			}
			cycle := s.cycle(zone, layer)
			overlap := int64(s.m.OverlapSec * float64(s.m.RateHz))
			begins := cycle.Stretches()[i].From - overlap/2 // where the bed begins to fade in
			return zone, layer, begins + int64(max(p.AtSec-sceneSec, 0)*float64(s.m.RateHz)), true
		}
	}
	return 0, 0, 0, false
}

// clip renders scenes one after the other.
func (s *subject) clip(ctx context.Context, scenes []Scene) (clip Clip, err error) {
	frames, err := s.performAll(ctx, scenes)
	if err != nil {
		return clip, err
	}
	clip.Sec = float64(len(frames)/2) / float64(s.m.RateHz)
	clip.FLAC, err = encodeFLAC(frames, s.m.RateHz)
	return clip, err
}

// performAll renders scenes one after the other, interleaved stereo.
func (s *subject) performAll(ctx context.Context, scenes []Scene) (frames []float32, err error) {
	for _, each := range scenes {
		heard, err := s.perform(ctx, each)
		if err != nil {
			return nil, err
		}
		frames = append(frames, heard...)
	}
	return frames, nil
}

// Sound renders scenes of a finding one after the other: interleaved stereo at the map's rate, no louder than the
// player's ceiling.
func Sound(ctx context.Context, in Input, scenes []Scene) ([]float32, error) {
	s := newSubject(in)
	frames, err := s.performAll(ctx, scenes)
	if err != nil {
		return nil, err
	}
	ceiling := engine.NewCeiling(s.m.RateHz, engine.CeilingDBTP)
	late := 2 * ceiling.Latency()
	frames = append(frames, make([]float32, late)...)
	ceiling.Process(frames)
	return frames[late:], nil
}

// FromKeys says whether the scene is what keys sound from the moment on in which they are struck.
func (s *Scene) FromKeys() bool { return !s.InCycle && s.FromSec == 0 && !s.Mono }

// Events are what is played for a scene of keys, from frame 0 on.
func (s *Scene) Events(m *mapping.Map) []engine.Event {
	dynamics := []engine.Event{engine.Control(0, 0, byte(m.Dynamics.Controller), byte(s.Dynamics))}
	if s.Sweep {
		dynamics = show.SweepEvents(m.Dynamics.Controller, int64(s.Sec*float64(m.RateHz)))
	}
	return show.HoldEvents(s.Keys, 100, int64((s.FromSec+s.Sec)*float64(m.RateHz)), dynamics...)
}

// perform renders a scene. It fades in where it begins amid sound, and out.
func (s *subject) perform(ctx context.Context, each Scene) ([]float32, error) {
	rate := float64(s.m.RateHz)
	frames := make([]float32, 2*int(each.Sec*rate))
	fade := s.m.RateHz / 50
	if each.InCycle {
		if err := s.cycle(each.Zone, each.Layer).ReadFrames(frames, each.FromFrame); err != nil {
			return nil, err
		}
		gain := float32(sound.DBToAmplitude(-s.m.HeadroomDB)) // as the player has it
		for i := range frames {
			frames[i] *= gain
		}
		fadeIn(frames, fade)
	} else {
		heard, err := s.playEvents(ctx, each.Events(s.m))
		if err != nil {
			return nil, err
		}
		from := min(2*int(each.FromSec*rate), len(heard.frames))
		frames = frames[:copy(frames, heard.frames[from:])]
		if each.FromSec > 0 {
			fadeIn(frames, fade)
		}
	}
	fadeOut(frames, fade)
	for i := 0; each.Mono && i+1 < len(frames); i += 2 {
		middle := (frames[i] + frames[i+1]) / 2
		frames[i], frames[i+1] = middle, middle
	}
	return frames, nil
}

// fadeIn lets the first frames of interleaved stereo rise from nothing.
func fadeIn(frames []float32, length int) {
	for i := range min(length, len(frames)/2) {
		gain := float32(i) / float32(length)
		frames[2*i] *= gain
		frames[2*i+1] *= gain
	}
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
