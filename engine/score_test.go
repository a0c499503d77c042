// Checks scores against the Standard MIDI File specification's own examples and against exact fractions.

package engine

import (
	"bytes"
	"encoding/binary"
	"math/big"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"
	"pgregory.net/rapid"
)

// The four bars of RP-001's appendix on program fragments and example files: once as format 0,
// with running status and release velocities, once as format 1.
const (
	exampleFormat0 = "MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00\x00\x3B" +
		"\x00\xFF\x58\x04\x04\x02\x18\x08\x00\xFF\x51\x03\x07\xA1\x20\x00\xC0\x05\x00\xC1\x2E\x00\xC2\x46" +
		"\x00\x92\x30\x60\x00\x3C\x60\x60\x91\x43\x40\x60\x90\x4C\x20\x81\x40\x82\x30\x40\x00\x3C\x40" +
		"\x00\x81\x43\x40\x00\x80\x4C\x40\x00\xFF\x2F\x00"
	exampleFormat1 = "MThd\x00\x00\x00\x06\x00\x01\x00\x04\x00\x60" +
		"MTrk\x00\x00\x00\x14\x00\xFF\x58\x04\x04\x02\x18\x08\x00\xFF\x51\x03\x07\xA1\x20\x83\x00\xFF\x2F\x00" +
		"MTrk\x00\x00\x00\x10\x00\xC0\x05\x81\x40\x90\x4C\x20\x81\x40\x4C\x00\x00\xFF\x2F\x00" +
		"MTrk\x00\x00\x00\x0F\x00\xC1\x2E\x60\x91\x43\x40\x82\x20\x43\x00\x00\xFF\x2F\x00" +
		"MTrk\x00\x00\x00\x15\x00\xC2\x46\x00\x92\x30\x60\x00\x3C\x60\x83\x00\x30\x00\x00\x3C\x00\x00\xFF\x2F\x00"
)

func TestSpecificationExamples(t *testing.T) {
	// 96 ticks a quarter note, 120 quarter notes a minute: a quarter note is 24000 frames at 48 kHz.
	for name, c := range map[string]struct {
		file string
		want []Event
	}{
		"format 0": {exampleFormat0, []Event{
			{0, 0xC0, 5, 0, 0}, {0, 0xC1, 46, 0, 0}, {0, 0xC2, 70, 0, 0}, {0, 0x92, 48, 96, 0}, {0, 0x92, 60, 96, 0},
			{24000, 0x91, 67, 64, 0}, {48000, 0x90, 76, 32, 0},
			{96000, 0x82, 48, 64, 0}, {96000, 0x82, 60, 64, 0}, {96000, 0x81, 67, 64, 0}, {96000, 0x80, 76, 64, 0},
		}},
		"format 1": {exampleFormat1, []Event{
			{0, 0xC0, 5, 0, 0}, {0, 0xC1, 46, 0, 0}, {0, 0xC2, 70, 0, 0}, {0, 0x92, 48, 96, 0}, {0, 0x92, 60, 96, 0},
			{24000, 0x91, 67, 64, 0}, {48000, 0x90, 76, 32, 0},
			{96000, 0x90, 76, 0, 0}, {96000, 0x91, 67, 0, 0}, {96000, 0x92, 48, 0, 0}, {96000, 0x92, 60, 0, 0},
		}},
		// Format 2 plays the four tracks one after the other: 384, 384, 384 and 384 ticks.
		"format 2": {strings.Replace(exampleFormat1, "\x00\x01\x00\x04", "\x00\x02\x00\x04", 1), []Event{
			{96000, 0xC0, 5, 0, 0}, {144000, 0x90, 76, 32, 0}, {192000, 0x90, 76, 0, 0},
			{192000, 0xC1, 46, 0, 0}, {216000, 0x91, 67, 64, 0}, {288000, 0x91, 67, 0, 0},
			{288000, 0xC2, 70, 0, 0}, {288000, 0x92, 48, 96, 0}, {288000, 0x92, 60, 96, 0},
			{384000, 0x92, 48, 0, 0}, {384000, 0x92, 60, 0, 0},
		}},
	} {
		score, err := ParseScore(strings.NewReader(c.file), name, 48000)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(score.Events, c.want) {
			t.Errorf("%s: events %v, want %v", name, score.Events, c.want)
		}
		if last := c.want[len(c.want)-1].Frame; score.Frames != last {
			t.Errorf("%s: %d frames, want %d", name, score.Frames, last)
		}
	}
}

// Each division has a second, in ticks, that is known without arithmetic; 29 stands for 30000/1001 frames
// a second (SMPTE ST 12-1), so its 30000 frames last 1001 s.
func TestDivisions(t *testing.T) {
	for name, c := range map[string]struct {
		division  uint16
		tick      uint32
		wantFrame int64
	}{
		"960 a quarter note":             {960, 1920, 48000},
		"one tick a frame":               {24000, 268_435_455, 268_435_455},
		"24 frames a second":             {0xE850, 24 * 80, 48000},
		"25 frames a second, 1 ms ticks": {0xE728, 1001, 48048},
		"30 frames a second":             {0xE204, 120, 48000},
		"29.97 frames a second":          {0xE364, 30000 * 100, 1001 * 48000},
		"one 29.97th":                    {0xE301, 1, 1602}, // 1601.6
	} {
		track := []byte{0, 0xFF, 0x51, 3, 0x07, 0xA1, 0x20}
		track = append(append(track, deltaTime(c.tick)...), 0x90, 60, 1)
		score := mustParse(t, smfBytes(0, c.division, track))
		if len(score.Events) != 1 || score.Events[0].Frame != c.wantFrame || score.Frames != c.wantFrame {
			t.Errorf("%s: %v of %d frames, want frame %d", name, score.Events, score.Frames, c.wantFrame)
		}
	}
}

// However the tempo changes, an event is at its rational time rounded once. The files are written by the
// library's writer, of which ParseScore uses nothing.
func TestTempoMapsEqualExactFractions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		format := rapid.IntRange(0, 2).Draw(t, "format")
		division := rapid.Uint16Range(1, 32767).Draw(t, "ticks a quarter note")
		rateHz := rapid.SampledFrom([]int{8000, 44100, 48000, 192000}).Draw(t, "rate")
		file, trackCount := smf.New(), 1
		if format == 1 {
			file, trackCount = smf.NewSMF1(), rapid.IntRange(1, 4).Draw(t, "tracks")
		} else if format == 2 {
			file, trackCount = smf.NewSMF2(), rapid.IntRange(1, 4).Draw(t, "tracks")
		}
		file.TimeFormat = smf.MetricTicks(division)
		var model []sequence
		for range trackCount {
			var track smf.Track
			var m sequence
			for range rapid.IntRange(0, 30).Draw(t, "events") {
				delta := rapid.Uint32Range(0, 200_000).Draw(t, "delta")
				m.endTick += int64(delta)
				if rapid.IntRange(0, 2).Draw(t, "kind") == 0 {
					micros := rapid.Uint32Range(1, 1<<24-1).Draw(t, "tempo")
					track.Add(delta, []byte{0xFF, 0x51, 3, byte(micros >> 16), byte(micros >> 8), byte(micros)})
					m.tempos = append(m.tempos, tempoChange{m.endTick, uint64(micros)})
					continue
				}
				message := rapid.SampledFrom([][]byte{
					midi.NoteOn(3, 60, 100), midi.NoteOff(3, 60), midi.ControlChange(0, 1, 77),
					midi.Pitchbend(15, -123), midi.ProgramChange(1, 5), midi.AfterTouch(2, 9),
					midi.PolyAfterTouch(4, 5, 6),
					midi.SysEx([]byte{1, 2, 3}), smf.MetaText(strings.Repeat("a boat ", 40)),
				}).Draw(t, "message")
				track.Add(delta, message)
				if message[0] < 0xF0 {
					event := Event{Frame: m.endTick, Status: message[0], Data1: message[1]}
					if len(message) == 3 {
						event.Data2 = message[2]
					}
					m.events = append(m.events, event)
				}
			}
			tail := rapid.Uint32Range(0, 5000).Draw(t, "tail")
			track.Close(tail)
			m.endTick += int64(tail)
			file.Add(track)
			model = append(model, m)
		}
		var written bytes.Buffer
		if _, err := file.WriteTo(&written); err != nil {
			t.Fatal(err)
		}
		if format == 0 != (written.Bytes()[9] == 0) {
			t.Fatalf("the writer wrote format %d for %d", written.Bytes()[9], format)
		}
		got, err := ParseScore(&written, "written", rateHz)
		if err != nil {
			t.Fatal(err)
		}
		want := scoreByFractions(model, format == 2, int64(division), int64(rateHz))
		if !slices.Equal(got.Events, want.Events) || got.Frames != want.Frames {
			t.Fatalf("got %v, want %v", got, want)
		}
	})
}

// scoreByFractions adds up each event's time from 0 as a fraction, one stretch of tempo after another.
func scoreByFractions(tracks []sequence, oneAfterTheOther bool, division, rateHz int64) (score Score) {
	if !oneAfterTheOther {
		all := sequence{}
		for _, m := range tracks {
			all.events = append(all.events, m.events...)
			all.tempos = append(all.tempos, m.tempos...)
			all.endTick = max(all.endTick, m.endTick)
		}
		tracks = []sequence{all}
	}
	origin := new(big.Rat)
	for _, m := range tracks {
		slices.SortStableFunc(m.tempos, func(a, b tempoChange) int { return int(a.tick - b.tick) })
		secAt := func(tick int64) *big.Rat {
			sum, from, micros := new(big.Rat).Set(origin), int64(0), int64(500_000)
			for _, change := range append(slices.Clone(m.tempos), tempoChange{tick, 0}) {
				to := min(change.tick, tick)
				sum.Add(sum, big.NewRat((to-from)*micros, division*1_000_000))
				from, micros = to, int64(change.microsPerQuarter)
			}
			return sum
		}
		frameAt := func(sec *big.Rat) int64 {
			twice := new(big.Rat).Mul(sec, big.NewRat(2*rateHz, 1))
			twice.Add(twice, big.NewRat(1, 1))
			return new(big.Int).Div(twice.Num(), new(big.Int).Mul(twice.Denom(), big.NewInt(2))).Int64()
		}
		slices.SortStableFunc(m.events, func(a, b Event) int { return int(a.Frame - b.Frame) }) // by tick
		for _, event := range m.events {
			event.Frame = frameAt(secAt(event.Frame))
			score.Events = append(score.Events, event)
		}
		origin = secAt(m.endTick)
		score.Frames = frameAt(origin)
	}
	return score
}

// A day under 200 000 tempo changes, each of a length that no binary fraction holds, is right to the frame.
func TestADayOfTempoChangesDoesNotDrift(t *testing.T) {
	const changes, division = 200_000, 997
	random := rand.New(rand.NewPCG(1, 2))
	var track []byte
	elapsed := new(big.Int) // in µs/997
	micros := int64(500_000)
	for range changes {
		delta := uint32(random.IntN(1700))
		elapsed.Add(elapsed, big.NewInt(int64(delta)*micros))
		micros = 1 + random.Int64N(1_000_000)
		track = append(append(track, deltaTime(delta)...), 0xFF, 0x51, 3, byte(micros>>16),
			byte(micros>>8), byte(micros))
	}
	track = append(track, 0, 0x90, 60, 1)
	want := new(big.Rat).SetFrac(elapsed.Mul(elapsed, big.NewInt(48000)), big.NewInt(division*1_000_000))
	wantFrame, _ := want.Float64()
	got := mustParse(t, smfBytes(0, division, track)).Events[0].Frame
	if hours := wantFrame / 48000 / 3600; hours < 20 || hours > 28 {
		t.Fatalf("the score lasts %v h, wanted about a day", hours)
	}
	if off := float64(got) - wantFrame; off < -0.5 || off > 0.5 {
		t.Errorf("the last event is at frame %d, %v frames off", got, off)
	}
}

func TestTempoOfALaterTrackCounts(t *testing.T) {
	note := append(deltaTime(100), 0x90, 60, 1)
	tempo := []byte{0, 0xFF, 0x51, 3, 0x0F, 0x42, 0x40} // one second a quarter note
	score := mustParse(t, smfBytes(1, 100, note, tempo))
	if len(score.Events) != 1 || score.Events[0].Frame != 48000 {
		t.Errorf("%v, want one note at frame 48000", score.Events)
	}
}

// A damaged file names the byte, what was found and what was expected.
func TestDamagedScores(t *testing.T) {
	note := []byte{0, 0x90, 60, 1}
	for name, c := range map[string]struct{ file, want string }{
		"empty":             {"", "byte 0: found an empty file"},
		"a WAV file":        {"RIFF\x24\x00\x00\x00WAVEfmt ", `byte 0: found "RIFF", expected "MThd"`},
		"cut in the header": {exampleFormat0[:9], "byte 9: found the end of the file, expected a header"},
		"cut in a track":    {exampleFormat0[:40], "byte 18: found a chunk of 59 bytes, expected at most the 18"},
		"tracks missing":    {exampleFormat1[:42], "byte 10: found a header that declares 4 tracks, expected 1"},
		"tracks too many": {strings.Replace(exampleFormat1, "\x00\x04\x00\x60", "\x00\x03\x00\x60", 1),
			"declares 3 tracks, expected 4"},
		"two tracks in one": {smfBytes(0, 96, note, note), "byte 10: found 2 tracks in a file of format 0"},
		"no tracks":         {smfBytes(1, 96), "byte 10: found 0 tracks"},
		"format 3":          {smfBytes(3, 96, note), "byte 8: found format 3"},
		"division 0":        {smfBytes(0, 0, note), "byte 12: found 0 ticks a quarter note"},
		"time code of 23":   {smfBytes(0, 0xE950, note), "byte 12: found a time code of 23 frames"},
		"sub-frames 0":      {smfBytes(0, 0xE800, note), "byte 13: found 0 ticks a time-code frame"},
		"no status": {smfBytes(0, 96, []byte{0, 60, 1}),
			"track 1: byte 23: found 0x3c, expected a status byte"},
		"status after meta": {smfBytes(0, 96, append(note, 0, 0xFF, 1, 0, 0, 60, 1)),
			"byte 31: found 0x3c, expected a status"},
		"real-time status": {smfBytes(0, 96, []byte{0, 0xF8}), "byte 23: found 0xf8"},
		"data byte too high": {smfBytes(1, 96, note, []byte{0, 0x90, 60, 200}),
			"track 2: byte 37: found 0xc8, expected a data byte"},
		"event cut short": {smfBytes(0, 96, []byte{0, 0x90, 60}),
			"byte 25: found the end of the track, expected a data byte"},
		"endless delta time": {smfBytes(0, 96, []byte{0x80, 0x80, 0x80, 0x80, 0}), "byte 26: found a fifth byte"},
		"huge text": {smfBytes(0, 96, []byte{0, 0xFF, 1, 0xFF, 0xFF, 0xFF, 0x7F}),
			"found a length of 268435455 bytes"},
		"tempo 0": {smfBytes(0, 96, []byte{0, 0xFF, 0x51, 3, 0, 0, 0}),
			"byte 26: found a tempo of bytes [00 00 00]"},
		"short tempo":        {smfBytes(0, 96, []byte{0, 0xFF, 0x51, 1, 9}), "found a tempo of bytes [09]"},
		"header too short":   {"MThd\x00\x00\x00\x02" + exampleFormat0[8:], "byte 4: found a header of 2 bytes"},
		"longer than 16 MiB": {"MThd" + strings.Repeat("\x00", 16<<20), "byte 16777216: found more bytes"},
	} {
		_, err := ParseScore(strings.NewReader(c.file), "dawn.mid", 48000)
		if err == nil || !strings.HasPrefix(err.Error(), "dawn.mid: ") || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	if _, err := ParseScore(strings.NewReader(exampleFormat0), "dawn.mid", 0); err == nil {
		t.Error("a rate of 0 Hz gave no error")
	}
	if _, err := ReadScore(filepath.Join(t.TempDir(), "none.mid"), 48000); err == nil ||
		!strings.Contains(err.Error(), "none.mid") {
		t.Errorf("a missing file gave %v", err)
	}
}

// What the specification allows to be there and has readers pass over.
func TestScoresWithExtras(t *testing.T) {
	want := mustParse(t, exampleFormat0)
	body := exampleFormat0[14:]
	for name, file := range map[string]string{
		"a longer header":        "MThd\x00\x00\x00\x08" + exampleFormat0[8:14] + "\x01\x02" + body,
		"a chunk of other type":  exampleFormat0[:14] + "XFIH\x00\x00\x00\x03abc" + body,
		"bytes after the tracks": exampleFormat0 + "\x00\x00",
		"a tag after the tracks": exampleFormat0 + "TAG of some program",
		"no end-of-track event":  exampleFormat0[:21] + "\x37" + exampleFormat0[22:len(exampleFormat0)-4],
	} {
		if got := mustParse(t, file); !slices.Equal(got.Events, want.Events) || got.Frames != want.Frames {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
}

func TestReadScoreOpensTheFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "dawn.mid")
	if err := os.WriteFile(path, []byte(exampleFormat0), 0o600); err != nil {
		t.Fatal(err)
	}
	if score, err := ReadScore(path, 48000); err != nil || len(score.Events) != 11 {
		t.Errorf("%v, %v, want 11 events", score, err)
	}
}

// A length that is only declared is not allocated.
func TestDeclaredLengthsAllocateNothing(t *testing.T) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	for _, file := range []string{
		smfBytes(0, 96, []byte{0, 0xFF, 1, 0xFF, 0xFF, 0xFF, 0x7F}),
		smfBytes(0, 96, []byte{0, 0xF0, 0xFF, 0xFF, 0xFF, 0x7F}),
		exampleFormat0[:18] + "\xFF\xFF\xFF\xFF" + exampleFormat0[22:],
		"MThd\xFF\xFF\xFF\xFF" + exampleFormat0[8:],
		strings.Replace(smfBytes(1, 96), "\x00\x00\x00\x60", "\xFF\xFF\x00\x60", 1),
	} {
		if _, err := ParseScore(strings.NewReader(file), "x", 48000); err == nil {
			t.Errorf("%q gave no error", file)
		}
	}
	runtime.ReadMemStats(&after)
	if got := after.TotalAlloc - before.TotalAlloc; got > 1<<20 {
		t.Errorf("%d bytes allocated for five files of some 30 bytes", got)
	}
}

// Whatever the bytes, ParseScore gives an error or a score in order that ends after its last event.
func FuzzParseScore(f *testing.F) {
	f.Add([]byte(exampleFormat0))
	f.Add([]byte(exampleFormat1))
	f.Add([]byte(strings.Replace(exampleFormat1, "\x00\x01\x00\x04", "\x00\x02\x00\x04", 1)))
	f.Add([]byte(smfBytes(0, 0xE364, []byte{0, 0x90, 60, 1, 5, 60, 0, 0, 0xF0, 2, 1, 0xF7, 0, 0xFF,
		0x51, 3, 1, 2, 3})))
	f.Add([]byte(smfBytes(0, 96, []byte{0, 0xFF, 1, 0xFF, 0xFF, 0xFF, 0x7F})))
	f.Add([]byte(smfBytes(0, 96, []byte{0, 0xF8})))
	f.Fuzz(func(t *testing.T, data []byte) {
		score, err := ParseScore(bytes.NewReader(data), "fuzzed", 48000)
		if err != nil {
			return
		}
		last := int64(0)
		for _, event := range score.Events {
			if event.Frame < last || event.Status < 0x80 || event.Status >= 0xF0 || event.Data1 > 127 ||
				event.Data2 > 127 {
				t.Fatalf("%v after frame %d", event, last)
			}
			last = event.Frame
		}
		if score.Frames < last {
			t.Fatalf("the score ends at frame %d, its last event is at %d", score.Frames, last)
		}
	})
}

func mustParse(t *testing.T, file string) Score {
	t.Helper()
	score, err := ParseScore(strings.NewReader(file), t.Name(), 48000)
	if err != nil {
		t.Fatal(err)
	}
	return score
}

// smfBytes is a Standard MIDI File of these tracks, without end-of-track events.
func smfBytes(format, division uint16, tracks ...[]byte) string {
	file := []byte("MThd\x00\x00\x00\x06")
	for _, field := range []uint16{format, uint16(len(tracks)), division} {
		file = binary.BigEndian.AppendUint16(file, field)
	}
	for _, track := range tracks {
		file = binary.BigEndian.AppendUint32(append(file, "MTrk"...), uint32(len(track)))
		file = append(file, track...)
	}
	return string(file)
}

// deltaTime is a variable-length quantity: seven bits a byte, the highest first.
func deltaTime(ticks uint32) []byte {
	digits := []byte{byte(ticks & 0x7F)}
	for ticks >>= 7; ticks > 0; ticks >>= 7 {
		digits = append([]byte{byte(ticks) | 0x80}, digits...)
	}
	return digits
}

func BenchmarkParseScore(b *testing.B) {
	var track []byte
	for range 100_000 {
		track = append(track, 10, 0x90, 60, 100)
	}
	file := smfBytes(0, 960, track)
	b.SetBytes(int64(len(file)))
	for range b.N {
		if _, err := ParseScore(strings.NewReader(file), "x", 48000); err != nil {
			b.Fatal(err)
		}
	}
}
