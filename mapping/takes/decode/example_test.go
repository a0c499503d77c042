package decode_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/testsound"
)

// A file is read by its content: this one is FLAC whatever its name says.
func ExampleFile() {
	s, err := decode.File(filepath.Join(testsound.Recordings(), "misc", "drum_cowbell.flac"))
	if err != nil {
		fmt.Println(err)
		return
	}
	left, right := s.Stereo()
	fmt.Printf("%s, %d bits, %d channel at %d Hz, %.1f s\n", s.Format, s.Bits, len(s.Channels), s.RateHz, s.Seconds())
	fmt.Println("both sides alike:", &left[0] == &right[0])
	// Output:
	// FLAC, 16 bits, 1 channel at 44100 Hz, 0.3 s
	// both sides alike: true
}

// What is no sound is refused with its mend.
func ExampleFile_refused() {
	folder, _ := os.MkdirTemp("", "decode")
	defer os.RemoveAll(folder)
	path := filepath.Join(folder, "hull.wav")
	os.WriteFile(path, []byte("RIFF\x04\x00\x00\x00WAVE"), 0o666)
	_, err := decode.File(path)
	found, mend, _ := strings.Cut(strings.ReplaceAll(err.Error(), path, filepath.Base(path)), "; ")
	fmt.Println(found)
	fmt.Println(mend)
	// Output:
	// hull.wav: byte 12: found the end of the file and no fmt chunk, expected one
	// get the file again from where it came from
}
