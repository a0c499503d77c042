// Checks that long takes measure as they would in memory.

package measure

import (
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/testsound"
)

// longTake is a minute of stereo at 16 kHz over an offset of 2 %: silence, hiss, from 20 s on a struck note of 330 Hz,
// at 50 s a burst that is clipped, and no end of hiss.
func longTake(t *testing.T) (path string) {
	t.Helper()
	const rateHz, frames = 16000, 60 * 16000
	hiss := testsound.NoiseWave(testsound.White, rateHz, frames, -75, 1)
	data := make([]byte, 0, 4*frames)
	for i := range frames {
		sec := float64(i) / rateHz
		x := 0.02
		burst := sec > 50 && sec < 50.5
		if sec > 1 && !burst {
			x += float64(hiss[i])
		}
		if at := sec - 20; at > 0 {
			x += 0.3 * min(1, at/0.003) * math.Exp(-2*at) * math.Sin(2*math.Pi*330*at)
		}
		if burst {
			x = max(-0.7, min(2*math.Sin(2*math.Pi*500*sec), 0.7))
		}
		data = binary.LittleEndian.AppendUint16(data, uint16(int16(math.Round(32767*x))))
		data = binary.LittleEndian.AppendUint16(data, uint16(int16(math.Round(32767*0.8*x))))
	}
	path = filepath.Join(t.TempDir(), "long.wav")
	if err := os.WriteFile(path, testsound.WavBytes(1, 2, rateHz, 16, data), 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}

// Levels and loudness are those of the whole take, also where they lie outside of the part; the note is the one that
// is in the part.
func TestLongTake(t *testing.T) {
	t.Parallel()
	path := longTake(t)
	sound, err := decode.File(path)
	if err != nil {
		t.Fatal(err)
	}
	want := Absent()
	measureLevels(sound, &want)
	measureLoudness(sound, 0, sound.Frames(), &want)
	got, _, err := measureFile(path, decode.Span{}, 30*16000*2, 15*16000*2)
	if err != nil {
		t.Fatal(err)
	}
	if got.Seconds != 60 || got.PeakDBFS != want.PeakDBFS || got.TruePeakDBTP != want.TruePeakDBTP ||
		got.DCPercent != want.DCPercent || got.ClippedRuns != want.ClippedRuns || got.ClippedMs != want.ClippedMs ||
		want.ClippedRuns < 100 {
		t.Errorf("levels %+v\nwant %+v", got, want)
	}
	for _, pair := range [][2]float64{{got.LoudnessLUFS, want.LoudnessLUFS},
		{got.MaxMomentaryLUFS, want.MaxMomentaryLUFS}, {got.MaxShortTermLUFS, want.MaxShortTermLUFS}} {
		if !testsound.Within(pair[0], pair[1], 1e-9) {
			t.Errorf("loudness %v, want %v", pair[0], pair[1])
		}
	}
	if !testsound.Within(got.OnsetSec, 20, 0.01) || got.EndSec < 22 || got.EndSec > 27 || !got.Pitch.Sure() ||
		!testsound.Within(got.Pitch.Hz, 330, 0.2) || got.Kind != Struck || got.Strikes != 1 {
		t.Errorf("%s, pitch %+v, from %v to %v s, %d strikes", got.Kind, got.Pitch, got.OnsetSec,
			got.EndSec, got.Strikes)
	}
	// A stretch of it is a take like any other; one that is as long as the limit stays in memory.
	span := decode.Span{FromSec: 18, ToSec: 28}
	part, err := decode.Part(path, span)
	if err != nil {
		t.Fatal(err)
	}
	if got, _, err := measureFile(path, span, 10*16000*2, 1); err != nil || differ(got, Take(part)) ||
		got.Seconds != 10 {
		t.Errorf("a stretch: %v, %+v\nwant %+v", err, got, Take(part))
	}
	whole, _, err := measureFile(path, decode.Span{}, 60*16000*2, 1)
	if err != nil || differ(whole, Take(sound)) {
		t.Errorf("a take that is just not long: %v, %+v", err, whole)
	}
}

// The strikes of a long recording are found where those of one in memory are.
func TestStrikesOfALongRecording(t *testing.T) {
	t.Parallel()
	at := []float64{2, 9.5, 14, 21.25, 38}
	sound := blows(45, -60, 3, at...)
	data := make([]byte, 0, 2*sound.Frames())
	for _, x := range sound.Channels[0] {
		data = binary.LittleEndian.AppendUint16(data, uint16(int16(math.Round(float64(32767*x)))))
	}
	path := filepath.Join(t.TempDir(), "blows.wav")
	if err := os.WriteFile(path, testsound.WavBytes(1, 1, sound.RateHz, 16, data), 0o666); err != nil {
		t.Fatal(err)
	}
	strikes, err := strikesIn(path, int64(sound.Frames())-1)
	if err != nil || len(strikes) != len(at) {
		t.Fatalf("found %v (%v), want strikes at %v", strikes, err, at)
	}
	for i, strike := range strikes {
		if margin := at[i] - strike.FromSec; margin < 0.01 || margin > 0.1 {
			t.Errorf("strike %d is cut at %.3f s, %.3f s before its onset", i+1, strike.FromSec, margin)
		}
	}
	if last := strikes[len(strikes)-1].ToSec; last < at[len(at)-1]+1 || last > 45 {
		t.Errorf("the last strike ends at %.3f s", last)
	}
	if whole, err := strikesIn(path, int64(sound.Frames())); err != nil || len(whole) != len(at) {
		t.Errorf("in memory: %v (%v)", whole, err)
	}
}

// differ compares all measures; those that both lack are alike.
func differ(a, b Measures) bool { return fmt.Sprint(a) != fmt.Sprint(b) }

// A file that declares more than it holds is no long take, whatever room it asks for.
func TestFileThatDeclaresALongTake(t *testing.T) {
	t.Parallel()
	const path = "../../../testdata/recordings/guitar-acoustic/A2.mp3"
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	at := slices.Index(data, 'I')
	for string(data[at:at+4]) != "Info" {
		at++
	}
	binary.BigEndian.PutUint32(data[at+8:], 1<<20) // frames
	long := filepath.Join(t.TempDir(), "declares.mp3")
	if err := os.WriteFile(long, data, 0o666); err != nil {
		t.Fatal(err)
	}
	sound, err := decode.File(long)
	if err != nil {
		t.Fatal(err)
	}
	got, _, err := measureFile(long, decode.Span{}, int64(sound.Frames()*len(sound.Channels)), 1)
	if err != nil || differ(got, Take(sound)) {
		t.Errorf("%v, %+v\nwant %+v", err, got, Take(sound))
	}
}

// What is looked at and used of a long take, and what its row says.
func TestLong(t *testing.T) {
	m := Measures{RateHz: 48000, Channels: 2, Seconds: 300, OnsetSec: 1, EndSec: 200}
	if m.Long() || m.Used() != (decode.Span{}) || slices.Contains(m.Flags(), LongTake) {
		t.Error("five minutes of 48 kHz stereo are called long")
	}
	m.Seconds += 1. / 48000
	if want := (decode.Span{FromSec: 0, ToSec: 202}); !m.Long() || m.Used() != want ||
		!slices.Contains(m.Flags(), LongTake) {
		t.Errorf("a frame more: long %v, used %v, flags %v", m.Long(), m.Used(), m.Flags())
	}
}

// Counted block by block, held runs are those of the plain definition.
func TestHeldRuns(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		levels := rapid.SliceOfN(rapid.IntRange(-20, 20), 1, 200).Draw(t, "levels")
		x := make([]float32, len(levels))
		top := float32(0)
		for i, level := range levels {
			x[i] = float32(max(-14, min(level, 14))) / 20 // many stand still at the limits
			top = max(top, x[i])
		}
		const tolerance = 1. / 64 // the flank is a quarter of full scale deep
		runs, samples := 0, 0
		for from := 0; from < len(x); from++ {
			to := from
			for to < len(x) && x[to] >= top-tolerance {
				to++
			}
			first, last := from, to
			for first > 0 && x[first-1] >= top-clippedShallow*tolerance {
				first--
			}
			for last < len(x) && x[last] >= top-clippedShallow*tolerance {
				last++
			}
			if n := to - from; n >= clippedRun && last-first < 2*n+2 && top >= 32*tolerance {
				runs, samples = runs+1, samples+n
			}
			from = max(from, to-1)
		}
		held := newHeldRuns(+1, top, tolerance)
		for rest := x; len(rest) > 0; {
			n := rapid.IntRange(1, len(rest)).Draw(t, "block")
			held.add(rest[:n])
			rest = rest[n:]
		}
		held.leave()
		if held.runs != runs || held.samples != samples {
			t.Fatalf("%d runs of %d samples, want %d of %d", held.runs, held.samples, runs, samples)
		}
	})
}
