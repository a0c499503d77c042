package export

import (
	"bytes"
	"encoding/hex"
	"os"
	"path/filepath"
	"testing"
	"time"

	"lapstrake/mapping/wav"
)

// Rates as 80-bit floating-point numbers (IEEE 754-1985), worked out by hand: the exponent of 8000 is 12, more by
// 16383, and its mantissa 8000/2^12 with the 1 written out, and so on.
func TestExtended(t *testing.T) {
	for rateHz, want := range map[int]string{22050: "400dac440000000000", 44100: "400eac440000000000",
		48000: "400ebb800000000000", 8000: "400bfa000000000000", 192000: "4010bb800000000000"} {
		if got := hex.EncodeToString(extended(rateHz)); got != want+"00" {
			t.Errorf("%d: %s, want %s00", rateHz, got, want)
		}
	}
}

// The form as AIFF 1.3 lays it out, field by field: COMM, MARK with the loop's two places between frames and one for
// each strand, COMT with a word on each of the latter and its date in seconds since 1904, INST with the sustain
// loop from the first to the second, texts with their pad bytes, SSND.
func TestAIFFLayout(t *testing.T) {
	j := yard(t, func(j *Job) {
		j.Format, j.Artist, j.Map.StrandTitles = wav.PCM16, "Ama", []string{"breath", "oar"}
		j.Date = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	})
	item := itemsOf(t, j)[1]
	path := filepath.Join(t.TempDir(), "out.aiff")
	if _, err := j.writeAIFF(&item, path, noStep); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	want := be("FORM", uint32(len(data)-8), "AIFF",
		"COMM", uint32(18), uint16(2), uint32(yardFrames), uint16(16), "\x40\x0b\xfa\x00\x00\x00\x00\x00\x00\x00",
		"MARK", uint32(2+18+16+14+10), uint16(4), uint16(1), uint32(0), "\x0bloop begins", uint16(2),
		uint32(yardFrames), "\x09loop ends", uint16(3), uint32(yardFrames-item.startFrame), "\x06breath\x00",
		uint16(4), uint32(yardFrames+yardFrames/2-item.startFrame), "\x03oar",
		"COMT", uint32(2+8+28+8+26), uint16(2), uint32(44620*86400), uint16(3), uint16(28),
		"breath begins to sound alone", uint32(44620*86400), uint16(4), uint16(26), "oar begins to sound alone.",
		"INST", uint32(20), uint8(48), int8(0), uint8(37), uint8(48), uint8(1), uint8(127), int16(-12), uint16(1),
		uint16(1), uint16(2), uint16(0), uint16(0), uint16(0))
	if !bytes.HasPrefix(data, want) {
		t.Errorf("% x\nwant\n% x", data[:len(want)], want)
	}
	for _, chunk := range [][]byte{be("AUTH", uint32(3), "Ama\x00"), be("SSND", uint32(8+4*yardFrames), uint64(0))} {
		if !bytes.Contains(data, chunk) {
			t.Errorf("no % x", chunk)
		}
	}
}
