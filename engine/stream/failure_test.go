// Beds that fail while they are played.

package stream

import (
	"errors"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping/wav"
)

var errDisk = errors.New("the disk does not answer")

// failingBed cannot read the frames from from up to to, nor anything with them.
type failingBed struct {
	Bed
	from, to int64
}

func (b failingBed) ReadStereo(dst []float32, pos int64) error {
	if pos < b.to && pos+int64(len(dst)/2) > b.from {
		return errDisk
	}
	return b.Bed.ReadStereo(dst, pos)
}

// readOver reads into memory that holds older frames, as a ring's does.
func readOver(src source, pos, frames int64) ([]float32, error) {
	data := slices.Repeat([]float32{99}, int(2*frames))
	err := src.ReadFrames(data, pos)
	return data, err
}

func TestFramesThatCannotBeReadAreSilent(t *testing.T) {
	const overlap = 1000
	a, b := constantBed("a", 6000, 0.5), constantBed("b", 6000, 0.25)
	cycle := newCycle(t, overlap, 0, failingBed{a, 2000, 2100}, failingBed{b, 0, 1})

	silent, err := readOver(cycle, 2000-overlap, 100)
	if !errors.Is(err, errDisk) {
		t.Errorf("error %v, want %v", err, errDisk)
	}
	if slices.ContainsFunc(silent, func(sample float32) bool { return sample != 0 }) {
		t.Errorf("frames that could not be read are not silent: %v", silent[:4])
	}
	for _, pos := range []int64{0, 2100 - overlap} {
		if data, err := readOver(cycle, pos, 500); err != nil || data[0] != 0.5 || data[999] != 0.5 {
			t.Errorf("frames at %d beside the failure: %v, %v", pos, data[0], err)
		}
	}
	// In the join bed b begins with a frame that cannot be read: bed a fades all the same.
	const join = 6000 - 2*overlap
	data, err := readOver(cycle, join, overlap)
	if !errors.Is(err, errDisk) {
		t.Errorf("error %v, want %v", err, errDisk)
	}
	for k := range int64(overlap) {
		want := 0.5 * math.Cos((float64(k)+0.5)/overlap*math.Pi/2)
		if math.Abs(float64(data[2*k])-want) > 1e-6 {
			t.Fatalf("frame %d of the join is %v, want %v", k, data[2*k], want)
		}
	}
}

// A failing side that goes out is silent too, the one that comes in sounds.
func TestJoinOutOfAFailingBed(t *testing.T) {
	const overlap = 1000
	cycle := newCycle(t, overlap, 0, failingBed{constantBed("a", 6000, 0.5), 5000, 6000}, constantBed("b", 6000, 0.25))
	readOver(cycle, 9000, overlap) // the other join: leaves its frames wherever they were mixed
	data, err := readOver(cycle, 4000, overlap)
	if !errors.Is(err, errDisk) {
		t.Errorf("error %v, want %v", err, errDisk)
	}
	for k := range int64(overlap) {
		want := 0.25 * math.Sin((float64(k)+0.5)/overlap*math.Pi/2)
		if math.Abs(float64(data[2*k])-want) > 1e-6 {
			t.Fatalf("frame %d of the join is %v, want %v", k, data[2*k], want)
		}
	}
}

// notANumberBed is a float file that holds 0.5 and, in one frame, not a number.
func notANumberBed(t *testing.T, rateHz, frames, bad int) *BedFile {
	data := waveFile(waveForm{tag: 3, bits: 32, channels: 2, rateHz: rateHz}, frames,
		func(pos int) (float64, float64) {
			if pos == bad {
				return math.NaN(), 0.5
			}
			return 0.5, 0.5
		})
	return bedOf(t, data)
}

func TestBedWithNotANumberIsSilentThereAlone(t *testing.T) {
	cycle := newCycle(t, 0, 0, notANumberBed(t, 48000, 4000, 1234))
	data, err := readOver(cycle, 0, 4000)
	var notFinite *wav.NotFiniteError
	if !errors.As(err, &notFinite) || notFinite.Frame != 1234 {
		t.Errorf("error %v, want one that names frame 1234", err)
	}
	for k, sample := range data {
		if want := float32(0.5); k == 2*1234 && sample != 0 || k != 2*1234 && sample != want {
			t.Fatalf("sample %d is %v", k, sample)
		}
	}
}

// Beside a bed of another rate, the frame is missing and what lies beyond is not.
func TestConvertedBedWithNotANumber(t *testing.T) {
	cycle := newCycle(t, 0, 0, constantBed("a", 1000, 0.5), notANumberBed(t, 44100, 4410, 2205))
	data, err := readOver(cycle, 1000, 4800)
	var notFinite *wav.NotFiniteError
	if !errors.As(err, &notFinite) || notFinite.Frame != 2205 {
		t.Errorf("error %v, want one that names frame 2205", err)
	}
	if left := data[2*2400]; !(left < 0.25) {
		t.Errorf("at the bad frame: %v, want about 0", left)
	}
	for _, k := range []int{1000, 2300, 2500, 4000} {
		if math.Abs(float64(data[2*k])-0.5) > 0.001 {
			t.Errorf("frame %d, away from the bad one: %v, want 0.5", k, data[2*k])
		}
	}
}

// A voice fades before a failure, on frames that are there, and comes back behind it; the bed is told of once, however
// often it fails, and it is no miss.
func TestVoiceFadesBeforeWhatCannotBeRead(t *testing.T) {
	const bad, turns = leastHead + 5000, 3
	index := &memoryBed{"index", 60_000, 48000,
		func(pos int64) (float32, float32) { return float32(pos), float32(-pos) }}
	cycle := newCycle(t, 0, 0, failingBed{index, bad, bad + 1})
	reader := NewReader(1, leastRing)
	if err, n, untold := reader.Err(), reader.Errors(), reader.TakeErrors(); err != nil || n != 0 || len(untold) != 0 {
		t.Errorf("%v, %d, %v before anything was read", err, n, untold)
	}
	feed := reader.Feed(0)
	feed.Start(newHead(t, cycle, 0, leastHead), oneStep)
	states, told := "", []error{}
	for from := int64(0); from < turns*index.frames; from += 512 {
		reader.FillAll()
		told = append(told, reader.TakeErrors()...)
		if feed.Ready(from, from+512, oneStep) {
			states += "s"
			wantWindow(t, feed, from, 512)
			continue
		}
		if strings.HasSuffix(states, "s") { // it may fade
			wantWindow(t, feed, from, KeptFrames)
			from += KeptFrames - 512
		}
		states += "0"
	}
	if went := regexp.MustCompile("s+|0+").FindAllString(states, -1); len(went) != 2*turns+1 {
		t.Errorf("the voice was ready and not %d times in all, want %d: %s", len(went), 2*turns+1, states)
	}
	failed := (*BedError)(nil)
	if len(told) != 1 || !errors.As(told[0], &failed) || failed.Bed.Name() != "index" || !errors.Is(told[0], errDisk) {
		t.Errorf("told of %v, want one error of the bed", told)
	}
	if err, n := reader.Err(), reader.Errors(); !errors.Is(err, errDisk) || n < turns {
		t.Errorf("%v, %d errors; want %v, one a turn at least", err, n, errDisk)
	}
	if reader.Misses() != 0 {
		t.Errorf("%d misses", reader.Misses())
	}
}
