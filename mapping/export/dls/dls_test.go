// A bank is written byte for byte as the standard lays it out and read back unchanged; a broken bank gives an error.

package dls

import (
	"bytes"
	"encoding/binary"
	"errors"
	"runtime"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lapstrake/mapping/wav"
)

// ramp is a sound whose samples hold their wave and frame.
func ramp(dst []int16, wave int, from int64) error {
	for i := range dst {
		dst[i] = int16((100*wave + int(from) + i) % 128)
	}
	return nil
}

func write(t testing.TB, b *Bank, sound Sound) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := Write(&out, b, sound); err != nil {
		t.Fatal(err)
	}
	if int64(out.Len()) != SizeBytes(b) {
		t.Fatalf("%d bytes written, %d announced", out.Len(), SizeBytes(b))
	}
	return out.Bytes()
}

func read(data []byte) (*File, error) {
	return Read(bytes.NewReader(data), int64(len(data)), "bank.dls")
}

// pair is a stereo cycle on one region each side.
func pair() *Bank {
	connections := []Connection{{None, None, Pan, Straight, Percent(-50)},
		{None, None, EG1Release, Straight, Seconds(2)}}
	return &Bank{
		Title: "Slip", Comment: "one cycle", Software: "test",
		Programs: []Program{{Name: "both", Bank: 3<<7 | 5, Number: 7, Regions: []Region{
			{KeyLow: 49, KeyHigh: 60, VelocityLow: 1, VelocityHigh: 127, Wave: 0, PhaseGroup: 1, Channel: Left,
				Connections: connections},
			{KeyLow: 49, KeyHigh: 60, VelocityLow: 1, VelocityHigh: 127, Wave: 1, PhaseGroup: 1, Channel: Right,
				Connections: connections[1:]},
		}}},
		Waves: []Wave{{"left", 48000, 16, 60, 101, 4}, {"right", 48000, 8, 60, 101, 5}},
	}
}

// The layout of the standard, field by field (DLS Level 2.2, RP-025: rgnh, wlnk, art2, wsmp, ptbl; values worked out
// by hand: −50 % pan is −500 tenths, 2 s is 1200 absolute time cents).
func TestLayout(t *testing.T) {
	data := write(t, pair(), ramp)
	at := func(id string) []byte {
		i := bytes.Index(data, []byte(id))
		if i < 0 {
			t.Fatalf("no %s", id)
		}
		return data[i:]
	}
	for _, c := range []struct {
		id   string
		want []byte
	}{
		{"RIFF", le("RIFF", uint32(len(data)-8), "DLS ")},
		{"colh", le("colh", uint32(4), uint32(1))},
		{"insh", le("insh", uint32(12), uint32(2), uint32(3<<8|5), uint32(7))},
		{"rgnh", le("rgnh", uint32(12), uint16(49), uint16(60), uint16(1), uint16(127), uint16(1), uint16(0))},
		{"wlnk", le("wlnk", uint32(12), uint16(3), uint16(1), uint32(1), uint32(0))},
		{"art2", le("art2", uint32(32), uint32(8), uint32(2), uint16(0), uint16(0), uint16(4), uint16(0),
			int32(-500*65536), uint16(0), uint16(0), uint16(0x209), uint16(0), int32(1200*65536))},
		{"ptbl", le("ptbl", uint32(16), uint32(8), uint32(2), uint32(0))},
		{"fmt ", le("fmt ", uint32(16), uint16(1), uint16(1), uint32(48000), uint32(96000), uint16(2), uint16(16))},
		{"wsmp", le("wsmp", uint32(36), uint32(20), uint16(60), uint16(0), uint32(0), uint32(0), uint32(1), uint32(16),
			uint32(0), uint32(4), uint32(101))},
		{"data", le("data", uint32(2*109), int16(97), int16(98), int16(99), int16(100), int16(0), int16(1))},
	} {
		if got := at(c.id)[:len(c.want)]; !bytes.Equal(got, c.want) {
			t.Errorf("%s:\n% x, want\n% x", c.id, got, c.want)
		}
	}
	second := bytes.LastIndex(data, []byte("data"))
	if got, want := data[second:second+10], le("data", uint32(111), byte(128+(100+96)%128),
		byte(128+(100+97)%128)); !bytes.Equal(got, want) {
		t.Errorf("8-bit data: % x, want % x", got, want)
	}
}

// Any bank comes back as it was, guard frames included.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		text := rapid.StringMatching(`[a-z]{0,9}`)
		b := &Bank{Title: text.Draw(rt, "title"), Artist: text.Draw(rt, "artist"), Comment: text.Draw(rt, "comment"),
			Software: text.Draw(rt, "software")}
		for range rapid.IntRange(1, 4).Draw(rt, "waves") {
			b.Waves = append(b.Waves, Wave{text.Draw(rt, "name"), rapid.IntRange(8000, 192000).Draw(rt, "rate"),
				rapid.SampledFrom([]int{8, 16}).Draw(rt, "bits"), rapid.IntRange(0, 127).Draw(rt, "root"),
				rapid.Int64Range(1, 300).Draw(rt, "frames"), rapid.Int64Range(0, 70).Draw(rt, "guard")})
		}
		for range rapid.IntRange(1, 3).Draw(rt, "programs") {
			p := Program{Name: text.Draw(rt, "program"), Bank: rapid.IntRange(0, 16383).Draw(rt, "bank"),
				Number: rapid.IntRange(0, 127).Draw(rt, "number")}
			for range rapid.IntRange(1, 4).Draw(rt, "regions") {
				low, velocity := rapid.IntRange(0, 127).Draw(rt, "low"), rapid.IntRange(1, 127).Draw(rt, "velocity")
				p.Regions = append(p.Regions, Region{low, rapid.IntRange(low, 127).Draw(rt, "high"), velocity,
					rapid.IntRange(velocity, 127).Draw(rt, "loudest"),
					rapid.IntRange(0, len(b.Waves)-1).Draw(rt, "wave"), rapid.IntRange(0, 9).Draw(rt, "group"),
					Channel(rapid.IntRange(0, 1).Draw(rt, "channel")),
					[]Connection{{Modulation, Modulation, Gain, InvertSource | InvertControl,
						rapid.Int32().Draw(rt, "scale")}}})
			}
			b.Programs = append(b.Programs, p)
		}
		data := write(t, b, ramp)
		f, err := read(data)
		if err != nil {
			rt.Fatal(err)
		}
		if again := write(t, &f.Bank, ramp); !bytes.Equal(again, data) {
			rt.Fatalf("read and written again it is another file:\n%+v\n%+v", f.Bank, b)
		}
		for i, w := range b.Waves {
			stored := make([]int16, w.storedFrames())
			if err := f.ReadWave(stored, i, 0); err != nil {
				rt.Fatal(err)
			}
			for k, got := range stored {
				var want [1]int16
				ramp(want[:], i, ((int64(k)-w.Guard)%w.Frames+w.Frames)%w.Frames)
				if got != want[0] {
					rt.Fatalf("wave %d, stored frame %d is %d, want %d", i, k, got, want[0])
				}
			}
		}
	})
}

// What cannot be a bank is refused before anything is written.
func TestRefusedBanks(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Bank)
		says   string
	}{
		"no waves": {func(b *Bank) { b.Waves = nil }, "on 0 waves"},
		"24 bits":  {func(b *Bank) { b.Waves[1].Bits = 24 }, "wave 1: 24 bits"},
		"keys":     {func(b *Bank) { b.Programs[0].Regions[1].KeyHigh = 48 }, "region 1: keys 49 to 48"},
		"wave":     {func(b *Bank) { b.Programs[0].Regions[0].Wave = 2 }, "wave 2"},
		"twice": {func(b *Bank) {
			r := &b.Programs[0].Regions[0]
			r.Connections = append(r.Connections,
				r.Connections[0])
		}, "stands twice"},
		"larger than 4": {func(b *Bank) { b.Waves[0].Frames = 1 << 31 }, "4 GiB"},
	} {
		b := pair()
		c.change(b)
		var out bytes.Buffer
		err := Write(&out, b, ramp)
		if err == nil || !strings.Contains(err.Error(), c.says) || out.Len() > 0 {
			t.Errorf("%s: %v and %d bytes", name, err, out.Len())
		}
	}
}

// A byte that is wrong or cut off gives an error or does no harm. Reading never crashes, and takes no more memory than
// the file's length and the text of an error.
func TestDamagedBanks(t *testing.T) {
	data := write(t, pair(), ramp)
	for n := range len(data) {
		if _, err := read(data[:n]); err == nil {
			t.Errorf("the first %d of %d bytes pass for a bank", n, len(data))
		}
	}
	wrong := 0
	for i := range data {
		broken := bytes.Clone(data)
		broken[i] ^= 0xFF
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		f, err := read(broken)
		runtime.ReadMemStats(&after)
		if allocated := after.TotalAlloc - before.TotalAlloc; allocated > uint64(len(data))+16384 {
			t.Errorf("byte %d: %d bytes allocated for a file of %d", i, allocated, len(data))
		}
		var format *wav.FormatError
		if errors.As(err, &format) {
			wrong++
			if format.Path != "bank.dls" || format.Found == "" || format.Expected == "" || format.Mend == "" {
				t.Errorf("byte %d: %v", i, err)
			}
		}
		if err == nil {
			readAll(t, f)
		}
	}
	if wrong < 100 {
		t.Errorf("only %d damages are told", wrong)
	}
}

func readAll(t testing.TB, f *File) {
	for i := range f.Waves {
		stored := make([]int16, f.Waves[i].storedFrames())
		if err := f.ReadWave(stored, i, 0); err != nil {
			t.Fatal(err)
		}
	}
}

// Hostile banks: no crash, and what is promised is there.
func FuzzRead(f *testing.F) {
	data := write(f, pair(), ramp)
	f.Add(data)
	f.Add(data[:100])
	huge := bytes.Clone(data)
	binary.LittleEndian.PutUint32(huge[bytes.Index(huge, []byte("ptbl"))+12:], 0xFFFFFFFF)
	f.Add(huge)
	f.Fuzz(func(t *testing.T, data []byte) {
		file, err := read(data)
		if err != nil {
			return
		}
		readAll(t, file)
	})
}
