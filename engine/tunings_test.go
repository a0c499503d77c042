// Tunings while one plays: the MIDI Tuning Standard's messages, in bytes, as what is then heard.

package engine

import (
	"bytes"
	"fmt"
	"math"
	"reflect"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/testsound"
)

// The standard's own table of frequency data (CA-020, "Frequency data format"; from memory): bytes and Hz.
var publishedPitches = []struct {
	bytes [3]byte
	hz    float64
}{
	{[3]byte{0x00, 0x00, 0x00}, 8.1758}, {[3]byte{0x00, 0x00, 0x01}, 8.1758}, {[3]byte{0x01, 0x00, 0x00}, 8.6620},
	{[3]byte{0x0C, 0x00, 0x00}, 16.3516}, {[3]byte{0x3C, 0x00, 0x00}, 261.6256}, {[3]byte{0x3D, 0x00, 0x00}, 277.1826},
	{[3]byte{0x44, 0x7F, 0x7F}, 439.9984}, {[3]byte{0x45, 0x00, 0x00}, 440.0000},
	{[3]byte{0x45, 0x00, 0x01}, 440.0016},
	{[3]byte{0x78, 0x00, 0x00}, 8372.0181}, {[3]byte{0x7F, 0x00, 0x00}, 12543.8540},
}

func TestPublishedPitches(t *testing.T) {
	for _, published := range publishedPitches {
		b := published.bytes
		events := AppendTuning(nil, []byte{0x7F, 0x7F, 0x08, 0x02, 5, 1, 60, b[0], b[1], b[2]})
		if len(events) != 1 {
			t.Fatalf("% x: %d events", b, len(events))
		}
		e := &Engine{}
		e.tunings.init()
		e.retune(events[0])
		e.tunings.program = 5
		pitch, set := e.tunings.pitch(60)
		if got := testsound.KeyHz(pitch); !set || math.Abs(got-published.hz) > 5e-5*max(1, published.hz/1000) {
			t.Errorf("% x: %.4f Hz, want %.4f", b, got, published.hz)
		}
	}
	if events := AppendTuning(nil, []byte{0x7F, 0x7F, 0x08, 0x02, 5, 1, 60, 0x7F, 0x7F, 0x7F}); events != nil {
		t.Errorf("7f 7f 7f changes something: %v", events)
	}
}

// dump is a bulk dump of all keys, moved by so many cents.
func dump(program byte, cents float64) []byte {
	body := append([]byte{0x7E, 0x00, 0x08, 0x01, program}, "lapstrake test  "...)
	for key := range 128 {
		fine := min(max(int(math.Round((float64(key)+cents/100)*(1<<14))), 0), 1<<21-2)
		body = append(body, byte(fine>>14), byte(fine>>7&0x7F), byte(fine&0x7F))
	}
	sum := byte(0)
	for _, b := range body {
		sum ^= b
	}
	return append(body, sum&0x7F)
}

// octaveMessage tunes all channels, one class by so many hundredths.
func octaveMessage(class int, cents float64) []byte {
	body := []byte{0x7F, 0x7F, 0x08, 0x09, 0x03, 0x7F, 0x7F}
	for c := range 12 {
		value := 0x2000
		if c == class {
			value += int(math.Round(cents / 100 * 0x2000))
		}
		body = append(body, byte(value>>7), byte(value&0x7F))
	}
	return body
}

// at puts the events of a message at a frame.
func messageAt(frame int, body []byte) []Event {
	events := AppendTuning(nil, body)
	for i := range events {
		events[i].Frame = int64(frame)
	}
	return events
}

// requireTone measures what sounds from a time on against a pitch.
func requireTone(t *testing.T, what string, out []float32, atSec, pitch float64) {
	t.Helper()
	want := testsound.KeyHz(pitch)
	got := testsound.ToneHz(leftOf(out, atSec, 0.5), testRateHz, want)
	requireNear(t, what+", cents off", testsound.Cents(got, want), 0, 0.05)
}

// A change in real time moves the sounding note to its new pitch, exactly; one that is not waits for the next note.
func TestSoundingNotesAreRetuned(t *testing.T) {
	p := sineProject(t, 0.1)
	p.ReleaseSec = 0.02
	change := func(begin byte, key int, pitch float64) []byte {
		fine := int(math.Round(pitch * (1 << 14)))
		return []byte{begin, 0x7F, 0x08, 0x07, 0, 0, 1, byte(key), byte(fine >> 14), byte(fine >> 7 & 0x7F),
			byte(fine & 0x7F)}
	}
	events := []Event{NoteOn(0, 0, 60, 100)}
	events = append(events, messageAt(seconds(1), change(0x7F, 60, 60.375))...)
	events = append(events, messageAt(seconds(2), change(0x7E, 60, 59.5))...)
	events = append(events, NoteOn(int64(seconds(3)), 0, 60, 100))
	out := play(p.open(Settings{}), seconds(4), events...)
	requireTone(t, "as the map has it", out, 0.3, 60)
	requireTone(t, "retuned in real time", out, 1.3, 60.375)
	requireTone(t, "retuned not in real time, sounding", out, 2.3, 60.375)
	requireTone(t, "retuned not in real time, struck again", out, 3.3, 59.5)

	// As TestBendGlides: it is a glide, not a step.
	glide := leftOf(out, 0.83, 0.34)
	if got := outsideDB(glide, testsound.KeyHz(60)-200, testsound.KeyHz(61)+200); got > -60 {
		t.Errorf("retuning puts %.1f dB outside its band, expected at most −60", got)
	}
}

// Dumps, programs chosen by registered parameter 3, and octaves, of one byte and of two.
func TestProgramsAndOctaves(t *testing.T) {
	p := sineProject(t, 0.1)
	p.ReleaseSec = 0.02
	choose := func(sec float64, program byte) []Event {
		frame := int64(seconds(sec))
		return []Event{Control(frame, 0, 101, 0), Control(frame, 0, 100, 3), Control(frame, 0, 6, program)}
	}
	var events []Event
	add := func(more ...Event) { events = append(events, more...) }
	add(messageAt(0, dump(0, 0))...)
	add(messageAt(0, dump(9, -31))...)
	add(NoteOn(0, 0, 64, 100))
	add(choose(1, 9)...)
	add(choose(2, 77)...) // never dumped: as the map has it
	add(messageAt(seconds(3), octaveMessage(4, 26.5))...)
	oneByte := []byte{0x7F, 0x7F, 0x08, 0x08, 0x03, 0x7F, 0x7F}
	for class := range 12 {
		oneByte = append(oneByte, byte(64-class)) // E: 4 cents down
	}
	add(messageAt(seconds(4), oneByte)...)
	out := play(p.open(Settings{}), seconds(5), events...)
	for sec, pitch := range []float64{64, 63.69, 64, 64.265, 63.96} {
		requireTone(t, fmt.Sprintf("after %d s", sec), out, float64(sec)+0.3, pitch)
	}

	broken := dump(0, 20)
	broken[100] ^= 1
	if events := AppendTuning(nil, broken); events != nil {
		t.Error("a dump with a wrong checksum is taken")
	}
	e := p.open(Settings{Channel: 2})
	alone := octaveMessage(4, 50)
	alone[4], alone[5], alone[6] = 0, 0, 1 // channel 1
	out = play(e, seconds(1), append(messageAt(0, alone), NoteOn(0, 1, 64, 100))...)
	requireTone(t, "an octave for another channel", out, 0.3, 64)
}

// Where zones go by pitch, a key that is retuned far sounds the zone that is near its new pitch.
func TestRetunedKeysTakeTheNearestZone(t *testing.T) {
	p := newProject(t)
	p.Layers, p.ReleaseSec = []string{"one"}, 0.02
	tuning := mapping.DefaultTuning()
	tuning.ZonesBy = mapping.ZonesByPitch // that alone
	p.Tuning = &tuning
	for root := 57; root <= 81; root += 12 {
		bed := p.bed(fmt.Sprintf("k%d.wav", root), sineOf(testRateHz, testsound.KeyHz(float64(root)), 0, 0.1))
		p.zone("only", root, 0.1, bed)
		p.Zones[len(p.Zones)-1].Low, p.Zones[len(p.Zones)-1].High = root-11, root
	}
	var events []Event
	events = append(events, messageAt(0, []byte{0x7E, 0x7F, 0x08, 0x02, 0, 1, 60, 80, 0x20, 0})...)
	events = append(events, NoteOn(0, 0, 60, 100))
	e := p.open(Settings{})
	out := play(e, seconds(1), events...)
	requireTone(t, "key 60 at 80.25", out, 0.3, 80.25)
	var s Snapshot
	e.Snapshot(&s)
	if len(s.Cycles) != 1 || p.Zones[s.Cycles[0].Zone].Root != 81 {
		t.Errorf("%+v sounds, want the zone of root 81", s.Cycles)
	}
}

// What a score holds of tunings is played again as it was: written, read and applied, the state is the same.
func TestScoresKeepTunings(t *testing.T) {
	var events []Event
	events = append(events, messageAt(10, dump(3, 12))...)
	events = append(events, messageAt(20, octaveMessage(7, -33))...)
	events = append(events, Control(25, 0, 1, 5))
	events = append(events, messageAt(30, []byte{0x7F, 0x7F, 0x08, 0x02, 3, 2, 60, 61, 1, 2, 9, 9, 8, 7})...)
	var file bytes.Buffer
	if err := WriteScore(&file, Score{Events: events, Frames: 100}, 48000); err != nil {
		t.Fatal(err)
	}
	again, err := ParseScore(&file, "tunings.mid", 48000)
	if err != nil {
		t.Fatal(err)
	}
	states := [2]Engine{}
	for i, list := range [][]Event{events, again.Events} {
		states[i].tunings.init()
		for _, event := range list {
			if !event.IsChannel() {
				states[i].retune(event)
			}
		}
	}
	for key := range 128 {
		for _, program := range []int{0, 3} {
			states[0].tunings.program, states[1].tunings.program = program, program
			one, set1 := states[0].tunings.pitch(key)
			two, set2 := states[1].tunings.pitch(key)
			if one != two || set1 != set2 || !set1 {
				t.Fatalf("program %d, key %d: %v %v, written and read %v %v", program, key, one, set1, two, set2)
			}
		}
	}
	var channel []Event
	for _, event := range again.Events {
		if event.IsChannel() {
			channel = append(channel, event)
		}
	}
	if !reflect.DeepEqual(channel, []Event{Control(25, 0, 1, 5)}) || again.Frames != 100 {
		t.Errorf("of the others, %v are read", channel)
	}
}

// Whatever comes is taken without a panic and says only what an event can hold.
func FuzzAppendTuning(f *testing.F) {
	f.Add(dump(1, 5))
	f.Add(octaveMessage(3, 20))
	f.Add([]byte{0x7F, 0x7F, 0x08, 0x07, 0, 1, 1, 60, 60, 1, 1})
	f.Add([]byte{0x7E, 0x7F, 0x08, 0x05, 0, 1})
	f.Fuzz(func(t *testing.T, body []byte) {
		for i := range body {
			body[i] &= 0x7F // what a parser lets through
		}
		events := AppendTuning(nil, body)
		if len(events) > 128 {
			t.Fatalf("%d events", len(events))
		}
		var file bytes.Buffer
		if err := WriteScore(&file, Score{Events: events, Frames: 0}, 48000); err != nil {
			t.Fatal(err)
		}
		if _, err := ParseScore(&file, "f.mid", 48000); err != nil {
			t.Fatal(err)
		}
	})
}
