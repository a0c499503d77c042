// What is left of a recording when the program is killed or the disk is full, by way of children of this
// test.

package live

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	goaudio "github.com/go-audio/wav"

	"lapstrake/engine"
)

const recorderChildVariable = "LAPSTRAKE_TEST_RECORDING"

// child runs the calling test again, in a process that finds path in its environment.
func child(t *testing.T, path string) *exec.Cmd {
	command := exec.Command(os.Args[0], "-test.run=^"+t.Name()+"$", "-test.v")
	command.Env = append(os.Environ(), recorderChildVariable+"="+path)
	return command
}

// Killed without warning, a recording opens and holds all but the last second of what the recorder had taken.
func TestRecordingOutlivesKill(t *testing.T) {
	if path := os.Getenv(recorderChildVariable); path != "" {
		recordUntilKilled(t, path)
		return
	}
	path := filepath.Join(t.TempDir(), "evening.wav")
	command := child(t, path)
	output, err := command.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	taken := 0
	for lines := bufio.NewScanner(output); taken < 4*recordRateHz && lines.Scan(); {
		if count, found := strings.CutPrefix(lines.Text(), "taken "); found {
			taken, _ = strconv.Atoi(count)
		}
	}
	command.Process.Kill()
	command.Wait()

	sound := readSound(t, path)
	if frames := len(sound) / 2; taken < 4*recordRateHz || frames < taken-recordRateHz-takeFrames {
		t.Fatalf("%d frames, want the %d that were taken but for a second and a piece", frames, taken)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	decoded, err := goaudio.NewDecoder(bytes.NewReader(data)).FullPCMBuffer()
	if err != nil || decoded.NumFrames() != len(sound)/2 {
		t.Fatalf("go-audio reads %d frames, %v; want %d", decoded.NumFrames(), err, len(sound)/2)
	}
	for i, want := range recordedRamp(0, len(sound)/2) {
		if got := float64(decoded.Data[i]) / (1 << 23); got-float64(want) > 0.5/(1<<23) ||
			float64(want)-got > 0.5/(1<<23) {
			t.Fatalf("sample %d is %v, want %v", i, got, want)
		}
	}
	score, err := engine.ReadScore(strings.TrimSuffix(path, ".wav")+".mid", recordRateHz)
	if err != nil || score.Frames > int64(len(sound)/2) {
		t.Errorf("the score ends at %d, %v; want no more than the sound's %d", score.Frames, err, len(sound)/2)
	}
	if least := (len(sound)/2 - recordRateHz) / (recordRateHz / 2); len(score.Events) < least {
		t.Errorf("the score has %d events, want the %d of all but the last second", len(score.Events), least)
	}
}

// recordUntilKilled says after each half second of sound that it has left the ring.
func recordUntilKilled(t *testing.T, path string) {
	in, applied := engine.NewQueue(64)
	r, err := NewRecorder(path, recordRateHz, 0, applied)
	if err != nil {
		t.Fatal(err)
	}
	const blockFrames = recordRateHz / 50
	for frames := 0; frames < 600*recordRateHz; {
		in.Push(engine.NoteOn(int64(frames), 0, 60, 100))
		for range 25 {
			r.Add(recordedRamp(frames, blockFrames))
			frames += blockFrames
		}
		for r.ring.popped.Load() != r.ring.pushed.Load() {
			time.Sleep(time.Millisecond)
		}
		fmt.Printf("taken %d\n", frames)
	}
}

const fullDiskFrames = 100_000 // and a bit

// A full disk ends the recording, not the playing: the error says what to do, and both files hold what there was
// room for.
func TestRecordingOnAFullDisk(t *testing.T) {
	if path := os.Getenv(recorderChildVariable); path != "" {
		recordUntilFull(t, path)
		return
	}
	path := filepath.Join(t.TempDir(), "evening.wav")
	if output, err := child(t, path).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, output)
	}
	sound := readSound(t, path)
	if !slices.Equal(roundTo24(sound), roundTo24(recordedRamp(0, fullDiskFrames))) {
		t.Errorf("%d frames, want the %d that the disk took, as they were played", len(sound)/2, fullDiskFrames)
	}
	score, err := engine.ReadScore(strings.TrimSuffix(path, ".wav")+".mid", recordRateHz)
	if err != nil || score.Frames != fullDiskFrames || len(score.Events) != 100 {
		t.Errorf("the score has %d events and ends at %d, %v; want 100 and the sound's %d", len(score.Events),
			score.Frames, err, fullDiskFrames)
	}
}

func roundTo24(sound []float32) []int32 {
	steps := make([]int32, len(sound))
	for i, sample := range sound {
		steps[i] = int32(math.RoundToEven(float64(sample) * (1 << 23)))
	}
	return steps
}

func recordUntilFull(t *testing.T, path string) {
	signal.Ignore(syscall.SIGXFSZ) // a write beyond the limit is then an error like a full disk's
	in, applied := engine.NewQueue(64)
	r, err := openRecorder(path, recordRateHz, 0, applied, 100_000)
	if err != nil {
		t.Fatal(err)
	}
	const limitBytes = 44 + 6*fullDiskFrames + 5
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: limitBytes, Max: limitBytes}); err != nil {
		t.Fatal(err)
	}
	for n := range 200 {
		if !in.Push(engine.NoteOn(int64(1000*n)+1, 0, 60, 100)) {
			t.Fatalf("block %d: the events are not taken any more", n)
		}
		r.Add(recordedRamp(1000*n, 1000))
		r.write()
	}
	told := r.Err()
	if told == nil || !strings.HasPrefix(told.Error(), path+": cannot be recorded on: ") ||
		!strings.Contains(told.Error(), "free some space") {
		t.Errorf("the disk is full: %v", told)
	}
	if r.Dropped() != 0 {
		t.Errorf("%d frames dropped, want none after the end of the recording", r.Dropped())
	}
	go r.run()
	if err := r.Close(); err != told {
		t.Errorf("Close: %v, want the first error", err)
	}
}
