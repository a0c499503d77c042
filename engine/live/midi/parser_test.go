package midi

import (
	"slices"
	"testing"

	"gitlab.com/gomidi/midi/v2/drivers"
	"pgregory.net/rapid"
)

type message [3]byte

func parsed(bytes []byte) (messages []message) {
	var p Parser
	for _, b := range bytes {
		if status, data1, data2, complete := p.Next(b); complete {
			messages = append(messages, message{status, data1, data2})
		}
	}
	return messages
}

// dissected is what MIDI 1.0 says, told backwards: without the real-time bytes the stream falls into
// stretches that begin with a status byte; what follows a channel's status in its stretch is its data.
func dissected(bytes []byte) (messages []message) {
	bytes = slices.DeleteFunc(slices.Clone(bytes), func(b byte) bool { return b >= 0xF8 })
	for i := 0; i < len(bytes); {
		end := i + 1
		for end < len(bytes) && bytes[end] < 0x80 {
			end++
		}
		status, data := bytes[i], bytes[i+1:end]
		i = end
		if status < 0x80 || status >= 0xF0 {
			continue
		}
		size := 2
		if status>>4 == 0xC || status>>4 == 0xD {
			size = 1
		}
		for ; len(data) >= size; data = data[size:] {
			m := message{status, data[0]}
			copy(m[1:], data[:size])
			messages = append(messages, m)
		}
	}
	return messages
}

func TestParserOnStreamsFromTheStandard(t *testing.T) {
	for name, c := range map[string]struct {
		bytes []byte
		want  []message
	}{
		"note on": {[]byte{0x90, 60, 100}, []message{{0x90, 60, 100}}},
		"running status": {[]byte{0x91, 60, 100, 60, 0, 62, 1},
			[]message{{0x91, 60, 100}, {0x91, 60, 0}, {0x91, 62, 1}}},
		"one data byte":               {[]byte{0xC2, 5, 6, 0xD0, 9}, []message{{0xC2, 5}, {0xC2, 6}, {0xD0, 9}}},
		"clock inside a message":      {[]byte{0xF8, 0xE0, 0xF8, 1, 0xFE, 64, 0xFA}, []message{{0xE0, 1, 64}}},
		"real-time keeps running":     {[]byte{0x90, 1, 2, 0xFF, 3, 4}, []message{{0x90, 1, 2}, {0x90, 3, 4}}},
		"system common cancels":       {[]byte{0x90, 1, 2, 0xF3, 5, 3, 4}, []message{{0x90, 1, 2}}},
		"tune request cancels":        {[]byte{0x90, 1, 2, 0xF6, 3, 4}, []message{{0x90, 1, 2}}},
		"exclusive is passed over":    {[]byte{0xF0, 0x43, 1, 2, 3, 0xF7, 1, 2, 0x80, 1, 2}, []message{{0x80, 1, 2}}},
		"exclusive cut by a status":   {[]byte{0xF0, 1, 2, 3, 0x90, 1, 2}, []message{{0x90, 1, 2}}},
		"exclusive with clock inside": {[]byte{0xF0, 1, 0xF8, 2, 0xF7, 0xB0, 1, 2}, []message{{0xB0, 1, 2}}},
		"message cut by a status":     {[]byte{0x90, 60, 0x80, 60, 64}, []message{{0x80, 60, 64}}},
		"data without a status":       {[]byte{1, 2, 3, 0xA0, 1, 2}, []message{{0xA0, 1, 2}}},
	} {
		if got := parsed(c.bytes); !slices.Equal(got, c.want) {
			t.Errorf("%s: % X gives %X; want %X", name, c.bytes, got, c.want)
		}
	}
}

// gomidi's reader takes a status byte inside a message for data, so it is asked about whole messages.
func TestParserAgreesWithGomidi(t *testing.T) {
	data := rapid.ByteRange(0, 127)
	rapid.Check(t, func(t *rapid.T) {
		var stream []byte
		for range rapid.IntRange(0, 40).Draw(t, "count") {
			var part []byte
			switch rapid.IntRange(0, 5).Draw(t, "kind") {
			case 0: // exclusive, ended by F7 or by what comes next
				part = append([]byte{0xF0}, rapid.SliceOfN(data, 0, 3000).Draw(t, "exclusive")...)
				if rapid.Bool().Draw(t, "ended") {
					part = append(part, 0xF7)
				} else {
					part = append(part, 0x90, 1, 2)
				}
			case 1:
				part = rapid.SampledFrom([][]byte{{0xF1, 1}, {0xF2, 1, 2}, {0xF3, 1}, {0xF6}, {0xF7}}).Draw(t,
					"common")
			default: // a channel message, with running status
				status := rapid.ByteRange(0x80, 0xEF).Draw(t, "status")
				size := 2
				if status >= 0xC0 && status < 0xE0 {
					size = 1
				}
				part = []byte{status}
				for range rapid.IntRange(1, 4).Draw(t, "running") {
					part = append(part, rapid.SliceOfN(data, size, size).Draw(t, "data")...)
				}
			}
			for _, b := range part {
				for rapid.IntRange(0, 9).Draw(t, "clock") == 0 {
					stream = append(stream, rapid.ByteRange(0xF8, 0xFF).Draw(t, "real-time"))
				}
				stream = append(stream, b)
			}
		}
		var want []message
		reader := drivers.NewReader(drivers.ListenConfig{}, func(bytes []byte, _ int32) {
			if bytes[0] < 0xF0 {
				var m message
				copy(m[:], bytes)
				want = append(want, m)
			}
		})
		reader.EachMessage(stream, 0)
		if got := parsed(stream); !slices.Equal(got, want) {
			t.Fatalf("% X gives %X; gomidi finds %X", stream, got, want)
		}
	})
}

func FuzzParser(f *testing.F) {
	f.Add([]byte{0x90, 60, 100, 0xF8, 60, 0})
	f.Add([]byte{0xF0, 1, 2, 0x90, 0xF7, 1, 2, 3})
	f.Add([]byte{0xC0, 1, 0xF1, 2, 0xE5, 0xFF, 1, 0xFE, 2, 3, 4})
	f.Add([]byte{1, 2, 0xB0, 0xB1, 0xB2, 1, 2, 0xF4, 0xF5, 3, 0x8F, 1, 2})
	f.Fuzz(func(t *testing.T, bytes []byte) {
		if got, want := parsed(bytes), dissected(bytes); !slices.Equal(got, want) {
			t.Errorf("% X gives %X; want %X", bytes, got, want)
		}
	})
}

func TestParserDoesNotAllocate(t *testing.T) {
	var p Parser
	stream := append([]byte{0x90, 60, 100, 60, 0, 0xF0}, make([]byte, 10000)...)
	if count := testing.AllocsPerRun(10, func() {
		for _, b := range stream {
			p.Next(b)
		}
	}); count != 0 {
		t.Errorf("%.1f allocations; want none", count)
	}
}
