// What is written comes back: by our reader, by go-audio's, and by the bytes of the header.

package wav

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	goaudio "github.com/go-audio/wav"
	"pgregory.net/rapid"
)

// write makes a file in a folder of its own and returns its path and bytes.
func write(t testing.TB, channels int, f Format, blocks ...[]float32) (path string, data []byte) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "out.wav")
	w, err := Create(path, 48000, channels, f)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Discard()
	for _, block := range blocks {
		if err := w.WriteFrames(block); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Commit(); err != nil {
		t.Fatal(err)
	}
	if data, err = os.ReadFile(path); err != nil {
		t.Fatal(err)
	}
	return path, data
}

func readAll(t testing.TB, path string) ([]float32, Info) {
	t.Helper()
	f, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	dst := make([]float32, 2*f.Info.Frames)
	if err := f.ReadStereo(dst, 0); err != nil {
		t.Fatal(err)
	}
	return dst, f.Info
}

// Every byte ahead of the sound, as the standard lays it out (our own builder of the tests), the
// pad byte after an odd number of bytes, and a size that counts it.
func TestWriterHeader(t *testing.T) {
	for _, c := range []struct {
		f    Format
		tag  uint16
		bits int
	}{{PCM16, 1, 16}, {PCM24, 1, 24}, {Float, 3, 32}} {
		for channels := 1; channels <= 2; channels++ {
			for frames := range 4 {
				_, data := write(t, channels, c.f, make([]float32, frames*channels))
				want := riff(plainFormat(c.tag, channels, 48000, c.bits),
					padded("data", make([]byte, frames*channels*c.bits/8)))
				if !bytes.Equal(data[:44], want[:44]) || len(data) != len(want) {
					t.Errorf("%v, %d channels, %d frames: %d bytes\n% x\nwant %d bytes\n% x", c.f, channels, frames,
						len(data), data[:44], len(want), want[:44])
				}
			}
		}
	}
}

// Rounded to half a step at most in 24 bits, bit by bit in floats, whatever the block lengths.
func TestWriterRoundTrip(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		channels := rapid.IntRange(1, 2).Draw(rt, "channels")
		f := rapid.SampledFrom([]Format{PCM24, Float}).Draw(rt, "format")
		frames := rapid.IntRange(0, 200).Draw(rt, "frames")
		in := rapid.SliceOfN(rapid.Float32Range(-1, 1), frames*channels, frames*channels).Draw(rt, "samples")
		cut := rapid.IntRange(0, frames).Draw(rt, "cut") * channels
		path, _ := write(t, channels, f, in[:cut], in[cut:])
		out, info := readAll(t, path)
		if want := (Info{48000, channels, f.Encoding(), int64(frames), 44, nil}); info != want {
			rt.Fatalf("read back %+v, want %+v", info, want)
		}
		for i, want := range in {
			got := out[2*(i/channels)+i%channels]
			want = min(want, 1-1.0/(1<<23))
			if error := math.Abs(float64(got - want)); f == Float && got != in[i] || f == PCM24 &&
				error > 0.5/(1<<23) {
				rt.Fatalf("%v: sample %d is %v, want %v", f, i, got, want)
			}
		}
	})
}

// go-audio's decoder, written by others, reads the same integers.
func TestWriterAgainstGoAudio(t *testing.T) {
	in := make([]float32, 2*1000)
	for i := range in {
		in[i] = float32(math.Sin(float64(i) * 0.01))
	}
	for _, f := range []Format{PCM16, PCM24} {
		path, data := write(t, 2, f, in)
		decoder := goaudio.NewDecoder(bytes.NewReader(data))
		buffer, err := decoder.FullPCMBuffer()
		if err != nil {
			t.Fatal(err)
		}
		if decoder.SampleRate != 48000 || decoder.NumChans != 2 || int(decoder.BitDepth) != 8*f.Encoding().Bytes() ||
			decoder.WavAudioFormat != 1 {
			t.Errorf("%v: go-audio finds %d Hz, %d channels, %d bits, tag %d", f, decoder.SampleRate, decoder.NumChans,
				decoder.BitDepth, decoder.WavAudioFormat)
		}
		out, _ := readAll(t, path)
		if len(buffer.Data) != len(in) || len(out) != len(in) {
			t.Fatalf("%v: go-audio reads %d samples, we %d, want %d", f, len(buffer.Data), len(out), len(in))
		}
		scale := math.Pow(2, float64(8*f.Encoding().Bytes()-1))
		for i := range out {
			if float64(out[i])*scale != float64(buffer.Data[i]) {
				t.Fatalf("%v: sample %d is %v steps, go-audio says %d", f, i, float64(out[i])*scale, buffer.Data[i])
			}
		}
	}
}

// Integers clip and count what lay beyond full scale; floats keep it.
func TestWriterClipping(t *testing.T) {
	in := []float32{1.5, -1.5, 1, -1, 0.5, 1.0000001, float32(math.MaxFloat32), -1000}
	for _, c := range []struct {
		f       Format
		clipped int64
	}{{PCM16, 5}, {PCM24, 5}, {Float, 0}} {
		path := filepath.Join(t.TempDir(), "out.wav")
		w, err := Create(path, 48000, 1, c.f)
		if err != nil {
			t.Fatal(err)
		}
		if err := w.WriteFrames(in); err != nil {
			t.Fatal(err)
		}
		if w.Clipped() != c.clipped {
			t.Errorf("%v: %d clipped, want %d", c.f, w.Clipped(), c.clipped)
		}
		if err := w.Commit(); err != nil {
			t.Fatal(err)
		}
		out, _ := readAll(t, path)
		for i, want := range in {
			if c.f != Float {
				want = min(max(want, -1), 1)
			}
			if math.Abs(float64(out[2*i]-want)) > 2.0/(1<<15) { // a step, and dither's
				t.Errorf("%v: sample %d is %v, want %v", c.f, i, out[2*i], want)
			}
		}
	}
}

// Dither makes the mean right below one step and its error's power constant: a triangle of ±1 step
// has a variance of 1/6, the rounding adds 1/12, 1/4 in all whatever the sound (Lipshitz,
// Wannamaker and Vanderkooy 1992).
func TestWriterDither(t *testing.T) {
	const frames = 200_000
	for _, steps := range []float64{0, 0.25, 0.5, -0.3, 100.1} {
		in := make([]float32, frames)
		for i := range in {
			in[i] = float32(steps / (1 << 15))
		}
		path, _ := write(t, 1, PCM16, in)
		out, _ := readAll(t, path)
		var sum, squares float64
		for i := 0; i < len(out); i += 2 {
			e := float64(out[i])*(1<<15) - steps
			sum += e
			squares += e * e
		}
		if mean, power := sum/frames, squares/frames; math.Abs(mean) > 0.005 || math.Abs(power-0.25) > 0.005 {
			t.Errorf("%v steps: mean error %.4f, power %.4f; want 0 and 0.25", steps, mean, power)
		}
	}
}

func TestWriterIsDeterministic(t *testing.T) {
	in := make([]float32, 2*5000)
	for i := range in {
		in[i] = float32(math.Sin(float64(i*i)) / 2)
	}
	_, once := write(t, 2, PCM16, in)
	_, again := write(t, 2, PCM16, in[:14], in[14:4000], nil, in[4000:])
	if !bytes.Equal(once, again) {
		t.Error("the same sound in other blocks gave other bytes")
	}
}

func TestWriteFramesAllocatesNothing(t *testing.T) {
	for f := range formats {
		w, err := Create(filepath.Join(t.TempDir(), "out.wav"), 48000, 2, Format(f))
		if err != nil {
			t.Fatal(err)
		}
		block := make([]float32, 2*512)
		if allocs := testing.AllocsPerRun(100, func() { w.WriteFrames(block) }); allocs != 0 {
			t.Errorf("%v: %v allocations a block, want none", Format(f), allocs)
		}
		w.Discard()
	}
}

func TestParseFormat(t *testing.T) {
	for f := range formats {
		if got, err := ParseFormat(Format(f).String()); err != nil || got != Format(f) {
			t.Errorf("ParseFormat(%q) = %v, %v", Format(f).String(), got, err)
		}
	}
	if _, err := ParseFormat("32"); err == nil || !strings.Contains(err.Error(), `"32"`) ||
		!strings.Contains(err.Error(), "16, 24 or float") {
		t.Errorf("ParseFormat of 32: %v", err)
	}
}

func ExampleCreate() {
	folder, err := os.MkdirTemp("", "beds")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(folder)
	path := filepath.Join(folder, "bed.wav")
	w, err := Create(path, 48000, 2, PCM24)
	if err != nil {
		panic(err)
	}
	defer w.Discard()
	if err := w.WriteFrames([]float32{0, 0, 0.25, -0.25}); err != nil {
		panic(err)
	}
	if err := w.Commit(); err != nil {
		panic(err)
	}

	f, err := Open(path)
	if err != nil {
		panic(err)
	}
	defer f.Close()
	frame := make([]float32, 2)
	err = f.ReadStereo(frame, 1)
	fmt.Println(f.Info.RateHz, f.Info.Encoding, f.Info.Frames, frame, err)
	// Output: 48000 24-bit integer 2 [0.25 -0.25] <nil>
}
