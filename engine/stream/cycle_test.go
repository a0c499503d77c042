package stream

import (
	"math"
	"slices"
	"strings"
	"sync"
	"testing"
)

func TestCycleIsTheSameInAnyPieces(t *testing.T) {
	a, b, c := sliceBed("a", 48000, noise(1, 9000)), sliceBed("b", 48000, noise(2, 7001)),
		sliceBed("c", 48000, noise(3, 6000))
	for name, cycle := range map[string]*Cycle{
		"three unequal beds":        newCycle(t, 2500, 0, a, b, c),
		"used in part":              newCycle(t, 1000, 5000, a, b),
		"single":                    newCycle(t, 3000, 0, a),
		"single, all of it overlap": newCycle(t, 4500, 0, a),
		"no overlap":                newCycle(t, 0, 0, a, b),
		"single, no overlap":        newCycle(t, 0, 0, b),
	} {
		t.Run(name, func(t *testing.T) { testSource(t, cycle, cycle.Frames) })
	}
}

// The length is n(L−X): two beds of 15 s with 1 s of overlap last 28 s.
func TestCycleLength(t *testing.T) {
	long := func() Bed { return toneBed("bed", 48000, 15*48000, 100) }
	if cycle := newCycle(t, 48000, 0, long(), long()); cycle.Frames != 1_344_000 || cycle.RateHz != 48000 {
		t.Errorf("%d frames at %d Hz, want 1344000 at 48000", cycle.Frames, cycle.RateHz)
	}
	if cycle := newCycle(t, 4800, 48000, long(), long(), long()); cycle.Frames != 3*(48000-4800) {
		t.Errorf("%d frames where 1 s of each bed is used, want %d", cycle.Frames, 3*(48000-4800))
	}
	if cycle := newCycle(t, 48000, 0, long()); cycle.Frames != 14*48000 {
		t.Errorf("single strand: %d frames, want %d", cycle.Frames, 14*48000)
	}
}

// constantBed tells by its level which bed sounds.
func constantBed(name string, frames int64, level float32) Bed {
	return &memoryBed{name, frames, 48000, func(int64) (float32, float32) { return level, level }}
}

// Frame 0 is the first at which bed a sounds alone, and each bed sounds alone
// until its last overlap.
func TestBedsSoundAloneBetweenTheirJoins(t *testing.T) {
	const overlap = 1000
	levels := []float32{0.25, 0.5, 1}
	cycle := newCycle(t, overlap, 0, constantBed("a", 6000, levels[0]), constantBed("b", 5000, levels[1]),
		constantBed("c", 4000, levels[2]))
	alone := [][2]int64{{0, 4000}, {5000, 8000}, {9000, 11000}}
	data := readFrames(t, cycle, 0, cycle.Frames)
	for pos := range cycle.Frames {
		bed := -1
		for i, stretch := range alone {
			if pos >= stretch[0] && pos < stretch[1] {
				bed = i
			}
		}
		for i, level := range levels {
			if is := data[2*pos] == level; is != (i == bed) {
				t.Fatalf("frame %d is %v; want bed %d alone", pos, data[2*pos], bed)
			}
		}
	}
	index := &memoryBed{"index", 6000, 48000, func(pos int64) (float32, float32) { return float32(pos), 0 }}
	if first := readFrames(t, newCycle(t, overlap, 0, index), 0, 1); first[0] != overlap {
		t.Errorf("frame 0 is the bed's frame %v, want %d: the first after its overlap", first[0], overlap)
	}
}

// Inside a stretch that Stretches states, its bed is the stronger; outside, it is not.
func TestTonesSwitchWhereStretchesSay(t *testing.T) {
	const rateHz, overlap = 48000, 4800
	hz := []float64{500, 1000, 2000}
	var beds []Bed
	for i, frames := range []int64{24000, 19200, 14400} {
		beds = append(beds, toneBed("bed", rateHz, frames, hz[i]))
	}
	cycle := newCycle(t, overlap, 0, beds...)
	stretches := cycle.Stretches()
	if stretches[0].From != -overlap/2 {
		t.Errorf("the first bed takes over at %d, want the middle of its join, %d", stretches[0].From, -overlap/2)
	}
	const window = 480 // whole periods of every tone
	for i, stretch := range stretches {
		next := stretches[(i+1)%len(stretches)].From
		if i == len(stretches)-1 {
			next += cycle.Frames
		}
		if stretch.Bed != i || stretch.To != next {
			t.Errorf("stretch %d is %+v, want bed %d up to %d", i, stretch, i, next)
		}
		for pos := stretch.From; pos+window <= stretch.To; pos += window / 2 {
			data := readFrames(t, cycle, pos, window)
			own := toneLevel(data, hz[i]/rateHz)
			for other := range hz {
				if other != i && toneLevel(data, hz[other]/rateHz) > own {
					t.Fatalf("at %d in the stretch of bed %d, bed %d is louder", pos, i, other)
				}
			}
		}
	}
}

// toneLevel is the amplitude on the left of a tone of so many periods a frame.
func toneLevel(data []float32, periods float64) float64 {
	var re, im float64
	for k := range len(data) / 2 {
		sin, cos := math.Sincos(2 * math.Pi * periods * float64(k))
		re += float64(data[2*k]) * cos
		im += float64(data[2*k]) * sin
	}
	return 2 * math.Hypot(re, im) / float64(len(data)/2)
}

func TestCycleRefusesBedsTooShort(t *testing.T) {
	long := toneBed("long.wav", 48000, 48000, 100)
	for name, test := range map[string]struct {
		beds               []Bed
		overlap, bedFrames int64
		want               []string
	}{
		"shorter than twice the overlap": {[]Bed{long, toneBed("brief.wav", 48000, 9599, 100)}, 4800, 0,
			[]string{"brief.wav", "9599 frames", "twice the overlap", "0.200 s"}},
		"shorter than what is used": {[]Bed{long, toneBed("brief.wav", 48000, 24000, 100)}, 0, 48000,
			[]string{"brief.wav", "0.500 s", "1.000 s"}},
		"too little of each used": {[]Bed{long}, 4800, 9000, []string{"long.wav", "9000 frames", "twice the overlap"}},
		"empty": {[]Bed{long, toneBed("empty.wav", 48000, 0, 100)}, 0, 0,
			[]string{"empty.wav", "0 frames"}},
		"other rate, empty": {[]Bed{long, toneBed("empty.wav", 44100, 0, 100)}, 0, 0,
			[]string{"empty.wav", "0 frames"}},
	} {
		_, err := NewCycle(test.beds, test.beds[0].RateHz(), test.overlap, test.bedFrames)
		for _, want := range test.want {
			if err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("%s: error %v, want it to say %q", name, err, want)
			}
		}
	}
}

// Workers and an exporter may read one cycle at once, joins that nobody has
// measured yet and converted beds included.
func TestCycleIsReadByManyAtOnce(t *testing.T) {
	beds := []Bed{sliceBed("a", 48000, noise(1, 20000)), sliceBed("b", 44100, noise(2, 20000))}
	want := newCycle(t, 8000, 0, beds...)
	turn := readFrames(t, want, 0, want.Frames)
	cycle := newCycle(t, 8000, 0, beds...)
	var readers sync.WaitGroup
	for i := range int64(6) {
		readers.Go(func() {
			from := i * cycle.Frames / 8
			data := make([]float32, 2*(cycle.Frames-from))
			if err := cycle.ReadFrames(data, from); err != nil || !slices.Equal(data, turn[2*from:]) {
				t.Errorf("from frame %d: other frames than when read alone, error %v", from, err)
			}
		})
	}
	readers.Wait()
}
