// Controllers: the dynamics crossfade, the volume, the wheel's channel, and all of them without a step.

package engine

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/testsound"
)

// layered plays two beds as the soft and the loud layer of one zone, unshifted at key 69.
func layered(t testing.TB, soft, loud []float32) *project {
	p := newProject(t)
	p.zone("only", 69, 0.1, p.bed("soft.wav", soft), p.bed("loud.wav", loud))
	p.Dynamics.Initial = 0
	return p
}

// Unrelated layers keep their power at every value of the controller. A value is measured over 0.4 s of both channels:
// the power of 38400 samples of noise is uncertain by 0.04 dB (one sigma).
func TestDynamicsKeepThePowerOfUnrelatedLayers(t *testing.T) {
	p := layered(t, noiseOf(seconds(1), 1, 0.3), noiseOf(seconds(1), 2, 0.3))
	const apartSec = 0.55
	events := []Event{NoteOn(0, 0, 69, 127)}
	for value := range 128 {
		events = append(events, Control(int64(seconds(apartSec*float64(value))), 0, 1, byte(value)))
	}
	out := play(p.open(Settings{}), seconds(apartSec*128), events...)
	var levels []float64
	for value := range 128 {
		from := 2 * seconds(apartSec*float64(value)+0.15)
		power := 0.0
		for _, x := range out[from : from+2*seconds(0.4)] {
			power += float64(x) * float64(x)
		}
		levels = append(levels, 10*math.Log10(power))
	}
	reference := levels[0]/2 + levels[127]/2
	least, most := slices.Min(levels)-reference, slices.Max(levels)-reference
	t.Logf("power from %+.3f to %+.3f dB", least, most)
	if least < -0.2 || most > 0.2 {
		t.Errorf("power moves from %+.3f to %+.3f dB over the controller, expected ±0.2", least, most)
	}
}

// With the equal-gain law, two identical layers are one sound at every value.
func TestEqualGainKeepsIdenticalLayers(t *testing.T) {
	sine := sineOf(seconds(1), 440, 0, 0.3)
	p := layered(t, sine, sine)
	p.Dynamics.Law = mapping.EqualGain
	for _, value := range []byte{0, 1, 32, 64, 100, 127} {
		out := play(p.open(Settings{}), seconds(0.6), NoteOn(0, 0, 69, 127), Control(0, 0, 1, value))
		requireNear(t, fmt.Sprintf("level at %d, dB", value),
			20*math.Log10(testsound.RMS(leftOf(out, 0.2, 0.3))*math.Sqrt2/0.3), 0, 0.01)
	}
}

// At the ends the other layer is not quiet but gone.
func TestDynamicsEndsAreExact(t *testing.T) {
	silence, noise := make([]float32, 2*seconds(1)), noiseOf(seconds(1), 1, 0.3)
	for value, p := range map[byte]*project{0: layered(t, silence, noise), 127: layered(t, noise, silence)} {
		out := play(p.open(Settings{}), seconds(1), NoteOn(0, 0, 69, 127), Control(10, 0, 1, 64),
			Control(4000, 0, 1, value))
		if early := leftOf(out, 0.03, 0.05); testsound.RMS(early) == 0 {
			t.Fatalf("value 64: the silenced layer should sound")
		}
		for i, x := range out[2*seconds(0.6):] {
			if x != 0 {
				t.Fatalf("value %d: sample %d is %v, expected silence from the layer that is off", value, i, x)
			}
		}
	}
}

// No movement of a controller puts anything beyond ±150 Hz of the bed's own band that is above −60 dB.
func TestControllersMakeNoSteps(t *testing.T) {
	soft, loud := sineOf(seconds(1), 440, 0, 0.05), sineOf(seconds(1), 460, 0, 0.5)
	for _, test := range []struct {
		name   string
		events func(from int64) []Event
	}{
		{"dynamics 0 to 127 at once", func(from int64) []Event { return []Event{Control(from, 0, 1, 127)} }},
		{"dynamics 127 to 0 at once", func(from int64) []Event {
			return []Event{Control(0, 0, 1, 127), Control(from, 0, 1, 0)}
		}},
		{"dynamics in 7-bit steps", func(from int64) (events []Event) {
			for value := range int64(128) {
				events = append(events, Control(from+(value-64)*171, 0, 1, byte(value)))
			}
			return events
		}},
		{"volume 127 to 0 at once", func(from int64) []Event {
			return []Event{Control(0, 0, 1, 127),
				Control(from, 0, 7, 0)}
		}},
		{"volume to and fro each 333 frames", func(from int64) (events []Event) {
			for i := range int64(40) {
				events = append(events, Control(from+(i-20)*333, 0, 11, []byte{127, 90}[i%2]))
			}
			return events
		}},
	} {
		events := append([]Event{NoteOn(0, 0, 69, 127)}, test.events(int64(seconds(0.5)))...)
		out := play(layered(t, soft, loud).open(Settings{}), seconds(1), events...)
		got := outsideDB(leftOf(out, 0.16, 0.68), 290, 610)
		t.Logf("%s: %.1f dB", test.name, got)
		if !(got <= -60) {
			t.Errorf("%s: %.1f dB outside the bed's band, expected at most −60", test.name, got)
		}
	}
}

// levelsDB plays a held sine and gives its level after each group of events, relative to the first.
func levelsDB(p *project, groups ...[]Event) []float64 {
	const apartSec = 0.6
	events := []Event{NoteOn(0, 0, 69, 127)}
	for i, group := range groups {
		for _, event := range group {
			event.Frame = int64(seconds(apartSec * float64(i)))
			events = append(events, event)
		}
	}
	out := play(p.open(Settings{}), seconds(apartSec*float64(len(groups))), events...)
	var levels []float64
	for i := range groups {
		levels = append(levels, 20*math.Log10(testsound.RMS(leftOf(out, apartSec*float64(i)+0.35, 0.2))))
	}
	first := levels[0]
	for i := range levels {
		levels[i] -= first
	}
	return levels
}

// Volume and expression are each 40·log10(value/127) dB and multiply (General MIDI 2, section 3.3; DLS 2.2).
func TestVolumeAndExpression(t *testing.T) {
	p := sineProject(t, 0.3)
	groups, want := [][]Event{nil}, []float64{0}
	for _, pair := range [][2]byte{{127, 127}, {100, 127}, {64, 127}, {32, 127}, {127, 100}, {127, 64}, {127, 32},
		{100, 64}, {64, 32}, {0, 127}, {127, 0}, {127, 127}} {
		groups = append(groups, []Event{Control(0, 0, 7, pair[0]), Control(0, 0, 11, pair[1])})
		want = append(want, 40*math.Log10(float64(pair[0])/127)+40*math.Log10(float64(pair[1])/127))
	}
	for i, got := range levelsDB(p, groups...) {
		if math.IsInf(want[i], -1) {
			if !math.IsInf(got, -1) {
				t.Errorf("%v: %.1f dB, expected silence", groups[i], got)
			}
			continue
		}
		requireNear(t, fmt.Sprint(groups[i], " dB"), got, want[i], 0.1)
	}
}

func TestVelocityAmount(t *testing.T) {
	for _, amount := range []float64{0, 0.5, 1} {
		p := sineProject(t, 0.3)
		p.VelocityAmount = amount
		var levels []float64
		for _, velocity := range []byte{127, 100, 64, 1} {
			out := play(p.open(Settings{}), seconds(0.4), NoteOn(0, 0, 69, velocity))
			levels = append(levels, 20*math.Log10(testsound.RMS(leftOf(out, 0.1, 0.25))))
			want := amount * 40 * math.Log10(float64(velocity)/127)
			requireNear(t, fmt.Sprintf("amount %v, velocity %d, dB", amount, velocity),
				levels[len(levels)-1]-levels[0], want, 0.01)
		}
	}
}

// The fine twin of a controller below 32 (MIDI 1.0) divides its steps; a new coarse value clears it.
func TestFineDynamics(t *testing.T) {
	silence, sine := make([]float32, 2*seconds(1)), sineOf(seconds(1), 440, 0, 0.3)
	p := layered(t, silence, sine)
	p.Dynamics.Law = mapping.EqualGain
	levels := levelsDB(p,
		[]Event{Control(0, 0, 1, 127)}, []Event{Control(0, 0, 1, 64)}, []Event{Control(0, 0, 33, 64)},
		[]Event{Control(0, 0, 1, 64)}, []Event{Control(0, 0, 1, 127), Control(0, 0, 33, 127)})
	for i, value := range []float64{127, 64, 64.5, 64, 127} {
		requireNear(t, fmt.Sprintf("value %v, dB", value), levels[i], 20*math.Log10(value/127), 0.01)
	}
}

func TestControllersCanBeAssigned(t *testing.T) {
	silence, sine := make([]float32, 2*seconds(1)), sineOf(seconds(1), 440, 0, 0.3)
	p := layered(t, silence, sine)
	p.Dynamics.Law, p.Dynamics.Controller, p.Dynamics.Initial, p.Volume.Controllers = mapping.EqualGain,
		2, 127, []int{20}
	levels := levelsDB(p, nil, []Event{Control(0, 0, 1, 0), Control(0, 0, 7, 0), Control(0, 0, 11, 0)},
		[]Event{Control(0, 0, 2, 64)}, []Event{Control(0, 0, 34, 64)}, []Event{Control(0, 0, 20, 64)})
	fine := 20 * math.Log10(64.5/127)
	for i, want := range []float64{0, 0, 20 * math.Log10(64.0/127), fine, fine + 40*math.Log10(64.0/127)} {
		requireNear(t, fmt.Sprintf("group %d, dB", i), levels[i], want, 0.01)
	}
}

func TestChannels(t *testing.T) {
	p := sineProject(t, 0.3)
	for _, listens := range []int{0, 1, 5, 16} {
		e := p.open(Settings{Channel: listens})
		for channel := range byte(16) {
			play(e, 256, NoteOn(0, channel, 69, 100))
			if sounds := e.Stats().Voices > 0; sounds != (listens == 0 || int(channel) == listens-1) {
				t.Errorf("listening to channel %d, a note on channel %d sounds: %v", listens, channel+1, sounds)
			}
			play(e, 512, Control(0, channel, ControlSoundOff, 0))
		}
	}
}

// RP-015: controller 121 leaves the volume, and sets expression to 127 and the wheel to its centre.
func TestResetAllControllers(t *testing.T) {
	p := sineProject(t, 0.3)
	reset := Control(0, 0, 121, 0)
	levels := levelsDB(p, nil, []Event{Control(0, 0, 7, 64), Control(0, 0, 11, 50)}, []Event{reset})
	requireNear(t, "after reset, dB", levels[2], 40*math.Log10(64.0/127), 0.01)

	out := play(p.open(Settings{}), seconds(0.9), NoteOn(0, 0, 69, 100), Bend(0, 0, 0),
		Control(int64(seconds(0.2)), 0, 121, 0))
	requireNear(t, "wheel after reset, cents",
		testsound.Cents(testsound.ToneHz(leftOf(out, 0.35, 0.5), testRateHz, 440), 440), 0, 0.05)
}

// What the status line shows is what the engine has taken in.
func TestStatsShowControllers(t *testing.T) {
	e := sineProject(t, 0.1).open(Settings{})
	play(e, 64)
	requireNear(t, "the map's own dynamics, of 127", 127*e.Stats().Dynamics, 64, 1e-9)
	play(e, 64, Control(0, 0, 1, 100), Control(0, 0, 7, 64), Control(0, 0, 11, 32))
	requireNear(t, "dynamics, of 127", 127*e.Stats().Dynamics, 100, 1e-9)
	requireNear(t, "volume, dB", e.Stats().VolumeDB, 40*math.Log10(64.0/127)+40*math.Log10(32.0/127), 1e-9)
	play(e, 64, Control(0, 0, 121, 0)) // MIDI RP-015: modulation 0, expression full; volume stays
	requireNear(t, "dynamics after a reset", e.Stats().Dynamics, 0, 0)
	requireNear(t, "volume after a reset, dB", e.Stats().VolumeDB, 40*math.Log10(64.0/127), 1e-9)
}
