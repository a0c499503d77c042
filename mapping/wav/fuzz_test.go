// Headers made to hurt: none may crash the reader, cost memory, or promise frames that are not there.

package wav

import (
	"bytes"
	"errors"
	"runtime"
	"testing"
)

func FuzzReadInfo(f *testing.F) {
	for _, l := range layouts() {
		f.Add(l.data)
	}
	for _, other := range otherFormats {
		f.Add([]byte(other.pattern))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		info, err := readInfo(data)
		var truncated *TruncatedError
		if err != nil && !errors.As(err, &truncated) {
			if info != (Info{}) {
				t.Fatalf("error %v beside %+v", err, info)
			}
			return
		}
		if info.RateHz < 1 || info.RateHz > maxRateHz || info.Channels < 1 || info.Frames < 0 ||
			info.DataOffset < 20 || info.DataOffset+info.Frames*int64(info.frameBytes()) > int64(len(data)) {
			t.Fatalf("%d bytes give %+v", len(data), info)
		}
		if s := info.Sampler; s != nil {
			for _, loop := range s.Loops {
				if loop.StartFrame < 0 || loop.StartFrame > loop.EndFrame || loop.EndFrame >= info.Frames {
					t.Fatalf("loop %+v in %d frames", loop, info.Frames)
				}
			}
		}
		if info.Channels > 2 {
			return
		}
		file := &File{Info: info, Path: "take.wav", r: bytes.NewReader(data)}
		dst := make([]float32, 2*info.Frames)
		var notFinite *NotFiniteError
		if err := file.ReadStereo(dst, 0); err != nil && !errors.As(err, &notFinite) {
			t.Fatalf("%d frames promised: %v", info.Frames, err)
		}
		if at := firstNotFinite(dst); at >= 0 {
			t.Fatalf("sample %d is %v", at, dst[at])
		}
	})
}

// A hostile size costs no more memory than the file is long, and the few hundred bytes of an error.
func TestHostileSizesAllocateNothing(t *testing.T) {
	plain24, data := plainFormat(1, 2, 48000, 24), padded("data", make([]byte, 12))
	loops := samplerChunk(60, 0)
	copy(loops[8+28:], "\xff\xff\xff\xff")
	wide := ds64Chunk(0, 12, 2)
	copy(wide[8+24:], "\xff\xff\xff\xff")
	for name, hostile := range map[string][]byte{
		"data":         riff(plain24, sized("data", 0xFFFFFFFE, "abc")),
		"fmt":          riff(sized("fmt ", 0xFFFFFFFE, "abc")),
		"list":         riff(sized("LIST", 0xFFFFFFFE, "INFO"), plain24, data),
		"smpl":         riff(plain24, data, sized("smpl", 0xFFFFFFFE, "abc")),
		"loops":        riff(plain24, data, loops),
		"ds64":         rf64("RF64", sized("ds64", 0xFFFFFFFE, "abc"), plain24, data),
		"ds64's table": rf64("RF64", wide, plain24, data),
		"ds64's sizes": rf64("RF64", ds64Chunk(1<<63-1, 1<<63-1, 1<<63), plain24, sized("data", 0xFFFFFFFF, "abc")),
		"another's": rf64("RF64", ds64Chunk(0, 12, 2, "big ", uint64(1<<63-1)), sized("big ", 0xFFFFFFFF), plain24,
			data),
		"chunk headers": riff(bytes.Repeat(padded("none"), maxChunks+1)),
	} {
		reader := bytes.NewReader(hostile)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		const runs = 100
		for range runs {
			ReadInfo(reader, int64(len(hostile)), "take.wav")
		}
		runtime.ReadMemStats(&after)
		perRun := (after.TotalAlloc - before.TotalAlloc) / runs
		if perRun > uint64(len(hostile))+2048 {
			t.Errorf("%s: %d bytes allocated for a file of %d", name, perRun, len(hostile))
		}
	}
}
