package wav_test

import (
	"fmt"
	"log"
	"os"
	"path/filepath"

	"lapstrake/mapping/wav"
)

// A file appears under its name with Commit. It can be read from any frame.
func Example() {
	dir, err := os.MkdirTemp("", "wav")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "mug.wav")

	w, err := wav.Create(path, 48000, 2, wav.PCM24)
	if err != nil {
		log.Fatal(err)
	}
	defer w.Discard() // leaves nothing behind after an error
	if err := w.WriteFrames([]float32{0.5, -0.5, 0.25, -0.25, 0.125, -0.125}); err != nil {
		log.Fatal(err)
	}
	if err := w.Commit(); err != nil {
		log.Fatal(err)
	}

	file, err := wav.Open(path)
	if err != nil {
		log.Fatal(err)
	}
	defer file.Close()
	fmt.Println(file.Info.Frames, "frames at", file.Info.RateHz, "Hz,", file.Info.Encoding)
	frames := make([]float32, 2*2)
	if err := file.ReadStereo(frames, 1); err != nil {
		log.Fatal(err)
	}
	fmt.Println(frames)
	// Output:
	// 3 frames at 48000 Hz, 24-bit integer
	// [0.25 -0.25 0.125 -0.125]
}

// Root and loop go into chunks beside the sound.
func ExampleCreateWith() {
	dir, err := os.MkdirTemp("", "wav")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "cycle.wav")

	const rateHz = 48000
	loop := wav.Sampler{RootKey: 60, Loops: []wav.Loop{{StartFrame: 0, EndFrame: 3}}}
	w, err := wav.CreateWith(path, rateHz, 1, wav.Float, wav.Extras{
		After: []wav.Chunk{loop.Chunk(rateHz), wav.TextChunk(wav.Text{ID: "INAM", Text: "A cycle"})},
	})
	if err != nil {
		log.Fatal(err)
	}
	defer w.Discard()
	if err := w.WriteFrames(make([]float32, 4)); err != nil {
		log.Fatal(err)
	}
	if err := w.Commit(); err != nil {
		log.Fatal(err)
	}

	file, err := wav.Open(path)
	if err != nil {
		log.Fatal(err)
	}
	defer file.Close()
	fmt.Printf("%+v\n", *file.Info.Sampler)
	// Output: {RootKey:60 FineCents:0 Loops:[{StartFrame:0 EndFrame:3}]}
}
