// Checks that nothing that is said beside a note reaches a bed.

package beds

import (
	"encoding/binary"
	"math"
	"slices"
	"testing"

	"lapstrake/mapping/beds/clean"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
)

// Two projects differ in one thing: in one the words before and after a note are turned upside down. Each frame of
// them that reached a bed would be another there; what goes into the beds is the same but for what lies 80 dB under
// the note, for the mean of the whole file is taken off it.
func TestSpeechReachesNoBed(t *testing.T) {
	const take = "flute/E4 with words.wav"
	var goIn [2][][]float32
	for i, sign := range []float64{1, -1} {
		p := newProject(t, shortBeds(), aFew...)
		p.put(take, withWords(t, sign))
		p.intake()
		p.edit(take, func(r *takes.Row) {
			if !r.Speech || !slices.Contains(r.Flags, measure.Speech) {
				t.Errorf("flagged %v, want %q", r.Flags, measure.Speech)
			}
		})
		goIn[i] = p.goIn(take)
	}
	if len(goIn[0]) == 0 || len(goIn[0]) != len(goIn[1]) {
		t.Fatalf("%s is in %d beds, and in %d turned upside down", take, len(goIn[0]), len(goIn[1]))
	}
	for i := range goIn[0] {
		note, other := slices.Clone(goIn[0][i]), goIn[1][i]
		powerDB := sound.PowerDB(sound.MeanSquare(note))
		for k := range note {
			note[k] -= other[k]
		}
		if underDB := powerDB - sound.PowerDB(sound.MeanSquare(note)); underDB < 80 {
			t.Errorf("in bed %d of %d words are %.0f dB under the note, want 80 dB or more", i+1,
				len(goIn[0]), underDB)
		}
	}
}

// goIn is what of a take goes into each of its beds, with the same chance whatever the file's contents.
func (p yard) goIn(take string) (all [][]float32) {
	p.t.Helper()
	b := &builder{dir: p.dir}
	if err := b.open(); err != nil {
		p.t.Fatal(err)
	}
	for _, r := range b.recipes {
		for _, in := range r.Parts {
			if in.Path != take {
				continue
			}
			cleaned, err := b.clean(&in)
			if err != nil {
				p.t.Fatal(err)
			}
			treat := clean.Treatment{TakeKey: in.TakeKey, TargetKey: in.TargetKey}
			done, err := cleaned.Conform(treat, r.Conform, r.RateHz, r.Frames, r.Seed)
			if err != nil {
				p.t.Fatal(err)
			}
			all = append(all, done.Left)
		}
	}
	return all
}

// withWords is a recorded note in soft hiss with words before and after it, these times a sign.
func withWords(t *testing.T, sign float64) []byte {
	t.Helper()
	note, err := decode.File(testsound.Recordings() + "/flute/E4.mp3")
	if err != nil {
		t.Fatal(err)
	}
	pause := make([]float32, note.RateHz*6/10)
	var x []float32
	before, after := testsound.Speech(note.RateHz, 2), testsound.Speech(note.RateHz, 5)
	for i, part := range [][]float32{before, pause, note.Mono(), pause, after} {
		gain := 0.3
		if i == 0 || i == 4 {
			gain = 0.1 * sign
		}
		hiss := testsound.NoiseWave(testsound.White, note.RateHz, len(part), -70, uint64(i))
		for k, v := range part {
			x = append(x, float32(gain)*v+hiss[k]*float32(math.Copysign(1, gain)))
		}
	}
	var data []byte
	for _, v := range x {
		data = binary.LittleEndian.AppendUint16(data, uint16(int16(math.Round(32767*float64(max(-1, min(v, 1)))))))
	}
	return testsound.WavBytes(1, 1, note.RateHz, 16, data)
}
