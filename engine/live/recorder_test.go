// What a recording holds: the sound to half a step, the performance to the frame, silence where blocks were
// dropped.

package live

import (
	"bytes"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"lapstrake/engine"
	"lapstrake/mapping/wav"
)

const recordRateHz = 48000

// still is a recorder that takes what is added only when the test calls write or finishes it.
func still(t testing.TB, skipFrames, ringFrames int) (*Recorder, *engine.QueueIn) {
	t.Helper()
	in, applied := engine.NewQueue(1024)
	r, err := openRecorder(filepath.Join(t.TempDir(), "evening.wav"), recordRateHz, skipFrames, applied, ringFrames)
	if err != nil {
		t.Fatal(err)
	}
	return r, in
}

func finish(t testing.TB, r *Recorder) {
	t.Helper()
	go r.run()
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
}

// recordedRamp is sound whose every sample differs from its neighbours, some finer than 24 bits.
func recordedRamp(firstFrame, frames int) []float32 {
	sound := make([]float32, 2*frames)
	for i := range sound {
		sound[i] = float32((2*firstFrame+i)%99_991)/99_991 - 0.5
	}
	return sound
}

// requireRecorded wants the file to be what the ordinary Writer makes of the same sound, byte for byte.
func requireRecorded(t testing.TB, path string, want []float32) {
	t.Helper()
	ordinary := filepath.Join(t.TempDir(), "ordinary.wav")
	w, err := wav.Create(ordinary, recordRateHz, 2, wav.PCM24)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(w.WriteFrames(want), w.Commit()); err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile(path)
	expected, _ := os.ReadFile(ordinary)
	if err != nil || !bytes.Equal(got, expected) {
		t.Fatalf("the recording of %d bytes is not the %d bytes that the ordinary writer makes, %v", len(got),
			len(expected), err)
	}
}

func readSound(t testing.TB, path string) []float32 {
	t.Helper()
	f, err := wav.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	sound := make([]float32, 2*f.Info.Frames)
	if err := f.ReadStereo(sound, 0); err != nil {
		t.Fatal(err)
	}
	return sound
}

func readPerformance(t testing.TB, r *Recorder) engine.Score {
	t.Helper()
	score, err := engine.ReadScore(r.Files()[1], recordRateHz)
	if err != nil {
		t.Fatal(err)
	}
	return score
}

// Both files hold what was played, whatever the blocks and however seldom they were taken; the latency is left
// out, and the score ends with the sound.
func TestRecorderKeepsSoundAndPerformance(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		skip := rapid.IntRange(0, 300).Draw(rt, "skip")
		r, applied := still(t, skip, 100_000)
		var events []engine.Event
		frames := 0
		for _, length := range rapid.SliceOfN(rapid.IntRange(1, 5000), 0, 12).Draw(rt, "blocks") {
			event := engine.NoteOn(int64(frames+rapid.IntRange(0, length-1).Draw(rt, "at")), 0, 60, 100)
			events = append(events, event)
			applied.Push(event)
			r.Add(recordedRamp(frames, length))
			frames += length
			if rapid.Bool().Draw(rt, "take") {
				r.write()
			}
		}
		finish(t, r)
		recorded := max(frames-skip, 0)
		want := recordedRamp(min(skip, frames), recorded)
		requireRecorded(t, r.Files()[0], want)
		for i, got := range readSound(t, r.Files()[0]) {
			if math.Abs(float64(got-want[i])) > 0.5/(1<<23) {
				rt.Fatalf("sample %d is %v, want %v within half a step of 24 bits", i, got, want[i])
			}
		}
		// An event of the last frames, whose sound is still in the latency, is not part of what was recorded.
		events = slices.DeleteFunc(events, func(e engine.Event) bool { return e.Frame > int64(recorded) })
		if score := readPerformance(t, r); !slices.Equal(score.Events, events) || score.Frames != int64(recorded) {
			rt.Fatalf("the score has %v and ends at %d, want %v and %d", score.Events, score.Frames, events, recorded)
		}
		if r.Dropped() != 0 {
			rt.Fatalf("%d frames dropped of %d in a ring of 100000", r.Dropped(), frames)
		}
	})
}

// Blocks that find no room are counted and silent; all others stand at their time.
func TestRecorderKeepsTimeWhenItDrops(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		skip := rapid.IntRange(0, 100).Draw(rt, "skip")
		r, _ := still(t, skip, 1000)
		var want []float32
		lengths := rapid.SliceOfN(rapid.IntRange(1, 1200), 0, 25).Draw(rt, "blocks")
		tooLong := rapid.IntRange(0, len(lengths)).Draw(rt, "too long for the ring")
		for _, length := range slices.Insert(lengths, tooLong, 2048) {
			block := recordedRamp(len(want)/2, length)
			before := r.Dropped()
			r.Add(block)
			switch dropped := r.Dropped() - before; dropped {
			case 0:
			case int64(length):
				clear(block)
			default:
				rt.Fatalf("%d frames dropped of a block of %d", dropped, length)
			}
			want = append(want, block...)
			if rapid.IntRange(0, 4).Draw(rt, "take") == 0 {
				r.write()
			}
		}
		finish(t, r)
		if r.Dropped() < 2048 {
			rt.Fatalf("%d frames dropped, want at least the block that is longer than the ring", r.Dropped())
		}
		requireRecorded(t, r.Files()[0], want[min(2*skip, len(want)):])
	})
}

// A disk that stands still for eight seconds loses nothing.
func TestRecorderHoldsEightSeconds(t *testing.T) {
	ring := newSoundRing(recordRingSec * recordRateHz)
	block := make([]float32, 2*64)
	for range 8 * recordRateHz / 64 {
		ring.add(block)
	}
	if dropped := ring.dropped.Load(); dropped != 0 {
		t.Errorf("%d frames of eight seconds dropped", dropped)
	}
}

// The performance is on the disk while it goes on, up to the sound that a reader finds.
func TestRecorderWritesThePerformanceAsItGoesOn(t *testing.T) {
	r, applied := still(t, 0, 10*recordRateHz)
	heard := []engine.Event{engine.NoteOn(0, 0, 60, 100), engine.Control(2*recordRateHz, 0, 1, 64)}
	for _, event := range append(heard, engine.NoteOff(3*recordRateHz, 0, 60)) {
		applied.Push(event)
	}
	r.Add(recordedRamp(0, 2*recordRateHz+500))
	r.write()
	r.write() // a pause
	score := readPerformance(t, r)
	if !slices.Equal(score.Events, heard) || score.Frames != int64(len(readSound(t, r.Files()[0]))/2) ||
		score.Frames < 2*recordRateHz {
		t.Errorf("the score has %v and ends at %d, want %v and the sound's end", score.Events, score.Frames, heard)
	}
	finish(t, r)
}

// More events than there is room for leave a score of those, and the sound.
func TestRecorderBoundsThePerformance(t *testing.T) {
	r, applied := still(t, 0, recordRateHz)
	r.score.most = 10
	for n := range 13 {
		applied.Push(engine.Control(int64(n), 0, 1, 64))
	}
	r.Add(recordedRamp(0, 100))
	go r.run()
	if err := r.Close(); err == nil || !strings.Contains(err.Error(), r.Files()[1]+": found more than 10 events") {
		t.Errorf("Close: %v", err)
	}
	requireRecorded(t, r.Files()[0], recordedRamp(0, 100))
	if score := readPerformance(t, r); len(score.Events) != 10 || score.Frames != 100 {
		t.Errorf("the score has %d events and ends at %d, want 10 and 100", len(score.Events), score.Frames)
	}
}

// The audio thread and the writer work at once; Close may come at any time and more than once.
func TestRecorderWhilePlaying(t *testing.T) {
	in, applied := engine.NewQueue(64)
	path := filepath.Join(t.TempDir(), "evening.WAV")
	r, err := NewRecorder(path, recordRateHz, 0, applied)
	if err != nil {
		t.Fatal(err)
	}
	half, played := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(played)
		for n := range 2000 {
			in.Push(engine.Control(int64(256*n), 0, 1, byte(n%128)))
			r.Add(recordedRamp(256*n, 256))
			if n%100 == 99 {
				time.Sleep(5 * time.Millisecond)
			}
			if n == 1000 {
				close(half)
			}
		}
	}()
	<-half
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	sound := readSound(t, path)
	if frames := len(sound) / 2; frames < 1000*256 {
		t.Errorf("%d frames, want the %d added before Close", frames, 1000*256)
	}
	requireRecorded(t, path, recordedRamp(0, len(sound)/2))
	if score := readPerformance(t, r); score.Frames != int64(len(sound)/2) {
		t.Errorf("the score ends at %d, the sound at %d", score.Frames, len(sound)/2)
	}
	<-played
	if err := r.Close(); err != nil || len(readSound(t, path)) != len(sound) {
		t.Errorf("a second Close: %v; the sound had %d samples and has %d", err, len(sound), len(readSound(t, path)))
	}
}

func TestRecorderAddAllocatesNothing(t *testing.T) {
	r, _ := still(t, 0, 10_000)
	block := make([]float32, 2*64)
	// The ring fills up on the way: dropping is free too.
	if allocs := testing.AllocsPerRun(1000, func() { r.Add(block) }); allocs != 0 || r.Dropped() == 0 {
		t.Errorf("%v allocations a block, %d frames dropped; want no allocation, and some dropped",
			allocs, r.Dropped())
	}
	finish(t, r)
}
