// Files beyond 4 GiB, without the disk: a reader that holds a few stretches and zeros elsewhere.

package wav

import (
	"encoding/binary"
	"io"
	"testing"
)

// sparse is a file of sizeBytes bytes, zero but for the stretches at their offsets.
type sparse struct {
	sizeBytes int64
	stretches map[int64][]byte
}

func (s sparse) ReadAt(p []byte, offset int64) (int, error) {
	if offset >= s.sizeBytes {
		return 0, io.EOF
	}
	short := int64(len(p)) > s.sizeBytes-offset
	if short {
		p = p[:s.sizeBytes-offset]
	}
	clear(p)
	for at, stretch := range s.stretches {
		if from, to := max(at, offset), min(at+int64(len(stretch)), offset+int64(len(p))); from < to {
			copy(p[from-offset:to-offset], stretch[from-at:])
		}
	}
	if short {
		return len(p), io.EOF
	}
	return len(p), nil
}

// An hour and a half of 24-bit 96 kHz stereo with a smpl chunk behind it.
func TestRF64BeyondFourGiB(t *testing.T) {
	const frames = 900_000_000
	const dataBytes = frames * 6
	head := rf64("RF64", ds64Chunk(0, dataBytes, frames), plainFormat(1, 2, 96000, 24), sized("data", 0xFFFFFFFF))
	dataOffset := int64(len(head))
	tail := samplerChunk(69, 0, [2]uint32{1000, frames - 1})
	size := dataOffset + dataBytes + int64(len(tail))
	binary.LittleEndian.PutUint64(head[20:], uint64(size-8))
	reader := sparse{size, map[int64][]byte{
		0:                                 head,
		dataOffset + (frames-1)*6:         le("\x00\x00\x40\x00\x00\xc0"), // +0.5, −0.5
		dataOffset + dataBytes:            tail,
		dataOffset + int64(715_827_883)*6: le("\x00\x00\x20\x00\x00\xe0"), // the first frame whose byte is beyond 2^32
	}}
	f, err := NewFile(reader, size, "long.wav")
	if err != nil {
		t.Fatal(err)
	}
	if f.Info.Frames != frames || f.Info.Sampler == nil || f.Info.Sampler.Loops[0] != (Loop{1000, frames - 1}) {
		t.Fatalf("got %+v, want %d frames and the loop", f.Info, frames)
	}
	for pos, want := range map[int64][2]float32{0: {0, 0}, 715_827_883: {0.25, -0.25}, frames - 1: {0.5, -0.5}} {
		var got [2]float32
		if err := f.ReadStereo(got[:], pos); err != nil || got != want {
			t.Errorf("frame %d: %v, %v; want %v", pos, got, err, want)
		}
	}
}

// A plain RIFF form whose size was never known may be longer than its size field could say.
func TestStreamedBeyondFourGiB(t *testing.T) {
	head := le("RIFF", uint32(0xFFFFFFFF), "WAVE", plainFormat(1, 1, 48000, 16), sized("data", 0xFFFFFFFF))
	const frames = 3 << 30
	info, err := ReadInfo(sparse{int64(len(head)) + 2*frames, map[int64][]byte{0: head}},
		int64(len(head))+2*frames, "long.wav")
	if err != nil || info.Frames != frames {
		t.Errorf("%d frames, %v; want %d", info.Frames, err, int64(frames))
	}
}

// Between 2 and 4 GiB a size has its top bit set and is still a size.
func TestRIFFOfThreeGiB(t *testing.T) {
	const frames = 3 << 29
	head := le("RIFF", uint32(2*frames+36), "WAVE", plainFormat(1, 1, 48000, 16), sized("data", 2*frames))
	info, err := ReadInfo(sparse{int64(len(head)) + 2*frames, map[int64][]byte{0: head}},
		int64(len(head))+2*frames, "long.wav")
	if err != nil || info.Frames != frames {
		t.Errorf("%d frames, %v; want %d", info.Frames, err, int64(frames))
	}
}
