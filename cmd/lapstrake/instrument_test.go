// A small instrument of its own: it knows of an export what keymap.json, dynamics.csv and the rules in HOWTO.txt say,
// plays its WAV files, and shares no code with the player. Its WAV files are read by go-audio/wav, a general-purpose
// reader.

//go:build linux && cgo

package main

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	gowav "github.com/go-audio/wav"
)

// told is what the instrument takes from keymap.json.
type told struct {
	Attack     float64 `json:"attack_sec"`
	Release    float64 `json:"release_sec"`
	Bend       float64 `json:"bend_range_semitones"`
	BendAt     int     `json:"bend_initial"`
	BendLag    float64 `json:"bend_smoothing_sec"`
	Volume     []int   `json:"volume_controllers"`
	VolumeAt   int     `json:"volume_initial"`
	VolumeLag  float64 `json:"volume_smoothing_sec"`
	Dynamics   int     `json:"dynamics_controller"`
	DynamicsAt int     `json:"dynamics_initial"`
	Lag        float64 `json:"dynamics_smoothing_sec"`
	Files      []struct {
		File, Layer, Format string
		Root, Low, High     int
		RateHz              float64 `json:"rate_hz"`
		GainDB              float64 `json:"gain_db"`
		TuneCents           float64 `json:"tune_cents"`
		LoopStart           int     `json:"loop_start_frame"`
		LoopEnd             int     `json:"loop_end_frame"`
	}
}

// lagging is two equal one-pole low-passes in a row, each with half the lag.
type lagging struct{ to, middle, at, halfLag float64 }

func newLagging(at, lag float64) lagging { return lagging{at, at, at, lag / 2} }

func (l *lagging) move(sec float64) {
	keep := math.Exp(-sec / l.halfLag)
	l.middle = l.to + (l.middle-l.to)*keep
	l.at = l.middle + (l.at-l.middle)*keep
}

// playedMessage is a MIDI message at a frame: kind 0x90 note-on, 0x80 note-off, 0xB0 controller, 0xE0 wheel (a, of
// 16383).
type playedMessage struct{ frame, kind, a, b int }

// smallNote is a file that sounds for a note.
type smallNote struct {
	key              int
	sound            [2][]float64
	at, step         float64 // in frames of the file; frames for each of output, without bend
	gain             float64
	column           string // of dynamics.csv
	sec, from, level float64
	released         bool
}

// small is the instrument.
type small struct {
	told
	dir                    string
	rateHz                 float64
	law                    map[string][]float64
	sounds                 map[string][2][]float64
	notes                  []*smallNote
	dynamics, volume, bend lagging
	kernel                 []float64
}

const kernelHalf, kernelSteps = 48, 2048

func openSmall(t *testing.T, dir string, rateHz float64) *small {
	s := &small{dir: dir, rateHz: rateHz, law: map[string][]float64{}, sounds: map[string][2][]float64{}}
	text, err := os.ReadFile(filepath.Join(dir, "keymap.json"))
	if err == nil {
		err = json.Unmarshal(text, &s.told)
	}
	if err != nil {
		t.Fatal(err)
	}
	file, err := os.Open(filepath.Join(dir, "dynamics.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		for column, cell := range row {
			x, _ := strconv.ParseFloat(cell, 64)
			s.law[rows[0][column]] = append(s.law[rows[0][column]], x)
		}
	}
	s.dynamics, s.volume = newLagging(float64(s.DynamicsAt), s.Lag), newLagging(volumeOf(s.VolumeAt), s.VolumeLag)
	s.bend = newLagging(0, s.BendLag)
	for k := -kernelHalf * kernelSteps; k <= kernelHalf*kernelSteps; k++ {
		x := float64(k) / kernelSteps
		// A sinc under a Blackman-Harris window (Harris 1978, four terms, −92 dB).
		turn := math.Pi * (x/kernelHalf + 1)
		window := 0.35875 - 0.48829*math.Cos(turn) + 0.14128*math.Cos(2*turn) - 0.01168*math.Cos(3*turn)
		sinc := 1.0
		if k != 0 {
			sinc = math.Sin(math.Pi*x) / (math.Pi * x)
		}
		s.kernel = append(s.kernel, sinc*window)
	}
	return s
}

func volumeOf(value int) float64 { return math.Pow(10, 40*math.Log10(float64(value)/127)/20) }

// load reads the samples of a file.
func (s *small) load(t *testing.T, name string) [2][]float64 {
	if s.sounds[name][0] == nil {
		file, err := os.Open(filepath.Join(s.dir, filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		defer file.Close()
		sound, err := gowav.NewDecoder(file).FullPCMBuffer()
		if err != nil {
			t.Fatal(err)
		}
		var sides [2][]float64
		for k, sample := range sound.Data {
			side := k % sound.Format.NumChannels
			sides[side] = append(sides[side], float64(sample)/math.Exp2(float64(sound.SourceBitDepth-1)))
		}
		if sides[1] == nil {
			sides[1] = sides[0]
		}
		s.sounds[name] = sides
	}
	return s.sounds[name]
}

func (s *small) take(t *testing.T, m playedMessage, volumes map[int]int) {
	switch {
	case m.kind == 0x90 || m.kind == 0x80:
		for _, n := range s.notes {
			if n.key == m.a && !n.released {
				n.released, n.from, n.sec = true, n.level, 0
			}
		}
		for _, f := range s.Files {
			if m.kind == 0x90 && f.Format == "wav" && f.Low <= m.a && m.a <= f.High {
				s.notes = append(s.notes, &smallNote{key: m.a, sound: s.load(t, f.File), column: f.Layer + "_gain",
					step: math.Exp2(float64(m.a-f.Root)/12+f.TuneCents/1200) * f.RateHz / s.rateHz,
					gain: math.Pow(10, f.GainDB/20)})
			}
		}
	case m.kind == 0xE0:
		s.bend.to = float64(m.a-s.BendAt) / 8192 * s.Bend
	case m.a == s.Dynamics:
		s.dynamics.to = float64(m.b)
	default:
		volumes[m.a] = m.b
		s.volume.to = 1
		for _, number := range s.Volume {
			if value, moved := volumes[number]; moved {
				s.volume.to *= volumeOf(value)
			}
		}
	}
}

// layerGain is that of a layer where the dynamics stand, in a straight line between two values.
func (s *small) layerGain(column string) float64 {
	at := min(max(s.dynamics.at, 0), 127)
	below := min(int(at), 126)
	law := s.law[column]
	return law[below] + (law[below+1]-law[below])*(at-float64(below))
}

// move moves the envelope of a note on.
func (n *smallNote) move(sec float64, told *told) {
	n.sec += sec
	switch {
	case n.released:
		n.level = n.from * math.Pow(10, -3*n.sec/told.Release)
	case n.sec < told.Attack:
		n.level = 0.5 - 0.5*math.Cos(math.Pi*n.sec/told.Attack)
	default:
		n.level = 1
	}
}

// play gives both sides of so many frames.
func (s *small) play(t *testing.T, frames int, score []playedMessage) (out [2][]float64) {
	const line = 64
	out = [2][]float64{make([]float64, frames), make([]float64, frames)}
	volumes := map[int]int{}
	for at := 0; at < frames; {
		for len(score) > 0 && score[0].frame <= at {
			s.take(t, score[0], volumes)
			score = score[1:]
		}
		end := min((at/line+1)*line, frames)
		if len(score) > 0 {
			end = min(end, score[0].frame)
		}
		s.stretch(out, at, end)
		at = end
	}
	return out
}

// stretch plays a straight line.
func (s *small) stretch(out [2][]float64, from, to int) {
	gain := func(n *smallNote) float64 { return n.gain * n.level * s.volume.at * s.layerGain(n.column) }
	ratio := func() float64 { return math.Exp2(s.bend.at / 12) }
	before := make([]float64, len(s.notes))
	for k, n := range s.notes {
		before[k] = gain(n)
	}
	bent, sec := ratio(), float64(to-from)/s.rateHz
	s.dynamics.move(sec)
	s.volume.move(sec)
	s.bend.move(sec)
	bentTo := ratio()
	for k, n := range s.notes {
		n.move(sec, &s.told)
		after := gain(n)
		for i := range to - from {
			part := float64(i) / float64(to-from)
			level := before[k] + (after-before[k])*part
			for side := range out {
				out[side][from+i] += level * s.between(n.sound[side], n.at)
			}
			n.at += n.step * (bent + (bentTo-bent)*part)
		}
	}
}

// between gives a sample between those of an endless cycle.
func (s *small) between(cycle []float64, at float64) (sum float64) {
	whole := math.Floor(at)
	fine := (1 - (at - whole)) * kernelSteps
	low := int(fine)
	part := fine - float64(low)
	for tap := -kernelHalf + 1; tap < kernelHalf; tap++ {
		k := (tap-1+kernelHalf)*kernelSteps + low
		weight := s.kernel[k] + (s.kernel[k+1]-s.kernel[k])*part
		sum += weight * cycle[((int(whole)+tap)%len(cycle)+len(cycle))%len(cycle)]
	}
	return sum
}
