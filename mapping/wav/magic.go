// What a file that is not WAVE is instead, by its first bytes.

package wav

import (
	"bytes"
	"fmt"
	"unicode/utf8"
)

const (
	waveExpected = "a WAVE file (RIFF, RF64 or BW64)"
	convertMend  = "convert it to WAV, 16- or 24-bit PCM, and put that in its place"
	fetchMend    = "get the file again from where it came from"
)

// otherFormats are tried in order. pattern bytes of '?' match anything.
var otherFormats = []struct{ pattern, found, mend string }{
	{"fLaC", "a FLAC file", convertMend},
	{"ID3", "an MP3 file (ID3 tag)", convertMend},
	{"OggS", "an Ogg file (Vorbis, Opus or FLAC)", convertMend},
	{"FORM????AIFF", "an AIFF file", convertMend},
	{"FORM????AIFC", "an AIFF-C file", convertMend},
	{"RIFX", "a big-endian WAVE file (RIFX)", convertMend},
	{"riff\x2e\x91\xcf\x11", "a Wave64 file", convertMend},
	{".snd", "a Sun/NeXT (AU) file", convertMend},
	{"caff", "a Core Audio (CAF) file", convertMend},
	{"????ftyp", "an MPEG-4 file (AAC or Apple Lossless)", convertMend},
	{"wvpk", "a WavPack file", convertMend},
	{"\x30\x26\xb2\x75", "a Windows Media file", convertMend},
	{"PK\x03\x04", "a ZIP archive", "unpack it and put the WAV file from inside in its place"},
	{"\x00\x05\x16\x07", "a macOS companion file (AppleDouble), which holds no sound",
		"delete it; the sound is in the file of the same name without the leading ._"},
	{"\xff\xfe", "a text file (UTF-16)", fetchMend},
	{"\xfe\xff", "a text file (UTF-16)", fetchMend},
}

// Identify says what a file without a WAVE header is, and what to do about it. head is its first bytes; 512 are
// enough.
func Identify(head []byte) (found, mend string) {
	for _, other := range otherFormats {
		if matches(head, other.pattern) {
			return other.found, other.mend
		}
	}
	switch {
	case len(head) == 0:
		return "an empty file", fetchMend
	case matches(head, "RIFF????") && len(head) >= 12:
		return fmt.Sprintf("a RIFF file of the form %q", head[8:12]), convertMend
	case isMPEGAudio(head):
		return "an MP3 or AAC file", convertMend
	case len(bytes.Trim(head, "\x00")) == 0:
		return "nothing but zero bytes at the start", fetchMend + "; the copy was not finished"
	case isText(head):
		return "a text file", fetchMend
	}
	return fmt.Sprintf("bytes % x", head[:min(len(head), 12)]),
		"convert it to WAV if it is a sound file, or take it out of the folder"
}

func matches(head []byte, pattern string) bool {
	if len(head) < len(pattern) {
		return false
	}
	for i := range len(pattern) {
		if pattern[i] != '?' && pattern[i] != head[i] {
			return false
		}
	}
	return true
}

// isMPEGAudio looks for the 11 sync bits that open an MPEG audio frame (ISO/IEC 11172-3) and an
// AAC one in ADTS (ISO/IEC 13818-7).
func isMPEGAudio(head []byte) bool {
	return len(head) >= 2 && head[0] == 0xff && head[1]&0xe0 == 0xe0 && head[1] != 0xff
}

// isText accepts UTF-8 without control characters; the last rune may be cut by the end of head.
func isText(head []byte) bool {
	for len(head) > 0 {
		r, size := utf8.DecodeRune(head)
		if r == utf8.RuneError && size == 1 {
			return len(head) < utf8.UTFMax && !utf8.FullRune(head)
		}
		if r < ' ' && r != '\t' && r != '\n' && r != '\r' && r != '\f' {
			return false
		}
		head = head[size:]
	}
	return true
}
