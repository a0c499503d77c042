package live

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"lapstrake/engine"

	"pgregory.net/rapid"
)

func TestNotesKeepTheirSpacing(t *testing.T) {
	for _, frames := range []int{16, 32, 48, 64, 100, 128, 256, 441, 512, 1024, 2048} {
		for seed := range uint64(8) {
			d := newDevice(48000)
			input := newInput(t, d.arrivals)
			random := rand.New(rand.NewPCG(seed, 1))
			blocks := 3 * 48000 / frames
			notes := every(2e9+random.Float64()*50e6, 10e6, 16)
			d.run(input, 1e6, blocks, frames, callbackJitter(random), notes)
			if len(d.applied) != 16 {
				t.Fatalf("%d frames: %d of 16 notes arrived", frames, len(d.applied))
			}
			if worst := d.worstSpacingMs(10e6); worst > 1 {
				t.Errorf("%d frames, seed %d: spacing is off by %.2f ms; want at most 1 ms", frames, seed, worst)
			}
			if d.arrivals.Late() > 0 {
				t.Errorf("%d frames, seed %d: %d notes came late", frames, seed, d.arrivals.Late())
			}
		}
	}
}

// From MIDI in to the first frame that sounds: two periods and 2 ms at most, of which the device
// takes one period.
func TestLatencyBudget(t *testing.T) {
	const periodFrames, rateHz = 64, 48000
	d := newDevice(rateHz)
	input := newInput(t, d.arrivals)
	random := rand.New(rand.NewPCG(1, 2))
	notes := every(1e9, 7.77e6, 200)
	d.run(input, 0, 4*rateHz/periodFrames, periodFrames, callbackJitter(random), notes)
	ceilingFrames := engine.NewCeiling(rateHz, engine.CeilingDBTP).Latency()
	for i, event := range d.applied {
		arrivedFrame := notes[i] / 1e9 * rateHz
		frames := float64(event.Frame) - arrivedFrame + float64(ceilingFrames) + periodFrames
		if want := 2*periodFrames + 0.002*rateHz; frames > want {
			t.Fatalf("note %d sounds %.1f frames after it arrived; want at most %.0f", i, frames, want)
		}
	}
	t.Logf("delay %d frames, ceiling %d frames", d.arrivals.DelayFrames(), ceilingFrames)
}

// A server that is told to ask for shorter blocks is as prompt ten seconds later as if it had never done otherwise,
// and no note is late for it; longer blocks count at once.
func TestDelayFollowsTheBlockLength(t *testing.T) {
	const rateHz, long, short = 48000, 1024, 64
	none := func(int) float64 { return 0 }
	alone := newDevice(rateHz)
	alone.run(newInput(t, alone.arrivals), 0, 2*rateHz/short, short, none, nil)

	d := newDevice(rateHz)
	input := newInput(t, d.arrivals)
	dueNs := d.run(input, 0, 3*rateHz/long, long, none, nil)
	if got := d.arrivals.DelayFrames(); got < long {
		t.Errorf("at %d frames a block the delay is %d", long, got)
	}
	dueNs = d.run(input, dueNs, 12*rateHz/short, short, none, every(dueNs+1e6, 10e6, 1000))
	if got, want := d.arrivals.DelayFrames(), alone.arrivals.DelayFrames(); got != want {
		t.Errorf("12 s after blocks became shorter the delay is %d frames, want %d", got, want)
	}
	if worst := d.worstSpacingMs(10e6); worst > 1 {
		t.Errorf("notes 10 ms apart are up to %.2f ms out of place, want at most 1", worst)
	}
	d.run(input, dueNs, rateHz/long, long, none, nil)
	if got := d.arrivals.DelayFrames(); got < long || d.arrivals.Late() > 0 {
		t.Errorf("at longer blocks again the delay is %d frames, and %d notes came late", got, d.arrivals.Late())
	}
}

// A device may ask for several blocks at once and then for none.
func TestBurstsKeepSpacing(t *testing.T) {
	for _, burst := range []int{2, 3, 4, 8} {
		for _, frames := range []int{64, 256} {
			d := newDevice(48000)
			input := newInput(t, d.arrivals)
			lengthNs := float64(frames) / 48000 * 1e9
			late := func(i int) float64 { return float64(burst-1-i%burst) * lengthNs }
			d.run(input, 0, 3*48000/frames, frames, late, every(2e9, 10e6, 16))
			if worst := d.worstSpacingMs(10e6); len(d.applied) != 16 || worst > 1 {
				t.Errorf("bursts of %d × %d frames: %d of 16 notes, spacing off by %.2f ms; want at most 1 ms",
					burst, frames, len(d.applied), worst)
			}
		}
	}
}

// A stall after which the device catches up (it had buffers enough) leaves the line where it is.
func TestStallThatIsCaughtUp(t *testing.T) {
	for _, frames := range []int{16, 64, 256} {
		d := newDevice(48000)
		input := newInput(t, d.arrivals)
		stallAt := int(2.05 * 48000 / float64(frames))
		late := func(i int) float64 {
			if i == stallAt {
				return 15e6
			}
			return 0
		}
		d.run(input, 0, 3*48000/frames, frames, late, every(2e9, 10e6, 16))
		fine := 0
		for i := 1; i < len(d.applied); i++ {
			if math.Abs(float64(d.applied[i].Frame-d.applied[i-1].Frame)-480) <= 48 {
				fine++
			}
		}
		// The stall of 15 ms itself may be heard in the two or three notes that it holds up.
		if len(d.applied) != 16 || fine < 11 {
			t.Errorf("%d frames: %d of 16 notes, %d of 15 spacings within 1 ms; want at least 11", frames,
				len(d.applied), fine)
		}
	}
}

// After a gap that the device does not make up for, notes are as prompt as before within two
// blocks.
func TestJumpIsFollowedAtOnce(t *testing.T) {
	for _, gapNs := range []float64{8e6, 50e6, 200e6, 2e9, 3600e9} {
		const frames, rateHz = 64, 48000
		lengthNs := float64(frames) / rateHz * 1e9
		d := newDevice(rateHz)
		input := newInput(t, d.arrivals)
		none := func(int) float64 { return 0 }
		dueNs := d.run(input, 0, 1500, frames, none, nil)
		frame := d.frame
		resumeNs := dueNs + gapNs
		notes := every(resumeNs+2.5*lengthNs, 10e6, 16)
		d.run(input, resumeNs, 300, frames, none, notes)
		if len(d.applied) != 16 {
			t.Fatalf("gap %.0f ms: %d of 16 notes", gapNs/1e6, len(d.applied))
		}
		for i, event := range d.applied {
			delay := float64(event.Frame-frame) - (notes[i]-resumeNs)/1e9*rateHz
			if delay < 0 || delay > frames+0.001*rateHz {
				t.Errorf("gap %.0f ms: note %d is applied %.1f frames after it arrived; want 0 to %.0f",
					gapNs/1e6, i, delay, frames+0.001*rateHz)
			}
		}
	}
}

// Whatever blocks a device asks for and whenever it does: frames never go back, none is before its
// block, every note arrives, in the order in which it came.
func TestOrderAlwaysHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := NewArrivals(rapid.SampledFrom([]int{44100, 48000, 96000}).Draw(t, "rateHz"))
		count := rapid.IntRange(1, maxInputs).Draw(t, "inputs")
		inputs := make([]*Input, count)
		for i := range inputs {
			inputs[i], _ = a.Open()
		}
		nowNs, frame, last := int64(0), int64(0), int64(0)
		var sent, got [maxInputs]int
		step := func(frames int, end int64) {
			a.Begin(frame, frames, nowNs)
			for event, some := a.Peek(); some && event.Frame < end; event, some = a.Peek() {
				a.Pop()
				if event.Frame < last || event.Frame < frame {
					t.Fatalf("frame %d after %d, in the block from %d", event.Frame, last, frame)
				}
				i := event.Data2
				if int(event.Data1) != got[i]%128 {
					t.Fatalf("input %d: message %d; want %d", i, event.Data1, got[i]%128)
				}
				got[i]++
				last = event.Frame
			}
			frame += int64(frames)
		}
		for range rapid.IntRange(1, 60).Draw(t, "blocks") {
			nowNs += rapid.Int64Range(0, 30e6).Draw(t, "ns")
			for range rapid.IntRange(0, 5).Draw(t, "notes") {
				i := rapid.IntRange(0, count-1).Draw(t, "input")
				inputs[i].Push(nowNs-rapid.Int64Range(0, 5e6).Draw(t, "ago"), engine.KindControl,
					byte(sent[i]%128), byte(i))
				sent[i]++
			}
			frames := rapid.IntRange(1, 2048).Draw(t, "frames")
			step(frames, frame+int64(frames))
		}
		nowNs += 1e9
		step(1, math.MaxInt64)
		if sent != got {
			t.Fatalf("sent %v, got %v", sent, got)
		}
	})
}

func TestInputsMergeByTime(t *testing.T) {
	d := newDevice(48000)
	var inputs []*Input
	for range maxInputs {
		inputs = append(inputs, newInput(t, d.arrivals))
	}
	if _, err := d.arrivals.Open(); err == nil {
		t.Fatal("a 33rd input was given")
	}
	random := rand.New(rand.NewPCG(3, 3))
	times := every(1e9, 0.1e6, 4000)
	var pushed []int64
	d.run(nil, 0, 700, 64, func(int) float64 { return 0 }, nil)
	nowNs := 700.0 * 64 / 48000 * 1e9
	for d.frame < 3*48000 {
		for len(times) > 0 && times[0] <= nowNs {
			key := byte(len(pushed) % 128)
			inputs[random.IntN(maxInputs)].Push(int64(times[0]), engine.KindControl, key, 1)
			pushed = append(pushed, int64(times[0]))
			times = times[1:]
		}
		d.block(64, nowNs)
		nowNs += 64.0 / 48000 * 1e9
	}
	if len(d.applied) != 4000 {
		t.Fatalf("%d of 4000 messages arrived", len(d.applied))
	}
	if !slices.IsSortedFunc(d.applied, func(a, b engine.Event) int { return int(a.Frame - b.Frame) }) {
		t.Error("frames go back")
	}
	for i, event := range d.applied {
		if int(event.Data1) != i%128 {
			t.Fatalf("message %d is number %d; want the order of arrival", i, event.Data1)
		}
	}
}

func TestAudioThreadDoesNotAllocate(t *testing.T) {
	d := newDevice(48000)
	d.applied = make([]engine.Event, 0, 1<<20)
	var inputs []*Input
	for range maxInputs {
		inputs = append(inputs, newInput(t, d.arrivals))
	}
	nowNs := 0.0
	if count := testing.AllocsPerRun(1000, func() {
		for i, input := range inputs {
			input.Push(int64(nowNs), engine.KindNoteOn, byte(i), 100)
		}
		d.block(64, nowNs)
		nowNs += 64.0 / 48000 * 1e9
	}); count != 0 {
		t.Errorf("%.1f allocations a block; want none", count)
	}
	if len(d.applied) < 32000 {
		t.Errorf("%d events were applied", len(d.applied))
	}
	// The last of many closed inputs and the releases it makes.
	for _, input := range inputs {
		input.Close()
	}
	if count := testing.AllocsPerRun(1, func() { d.block(64, nowNs) }); count != 0 {
		t.Errorf("%.1f allocations when inputs close; want none", count)
	}
}
