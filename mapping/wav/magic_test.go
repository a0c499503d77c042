// Files that people hand in as .wav and that are something else.

package wav

import (
	"bytes"
	"strings"
	"testing"
)

func TestOtherFormatsAreNamed(t *testing.T) {
	pad := string(make([]byte, 100))
	sentences := map[string]string{}
	for _, c := range []struct{ name, data, found string }{
		{"empty", "", "an empty file"},
		{"text", "Dear neighbour,\r\nhere is the sound — as promised.\n", "a text file"},
		{"text cut within a rune", strings.Repeat("–", 400), "a text file"},
		{"UTF-16", "\xff\xfeD\x00e\x00a\x00r\x00", "UTF-16"},
		{"FLAC", "fLaC" + pad, "a FLAC file"},
		{"MP3 with a tag", "ID3\x03" + pad, "MP3"},
		{"MP3 without", "\xff\xfb\x90\x64" + pad, "an MP3 or AAC file"},
		{"AIFF", "FORM\x00\x00\x10\x00AIFF" + pad, "an AIFF file"},
		{"AIFF-C", "FORM\x00\x00\x10\x00AIFC" + pad, "an AIFF-C file"},
		{"Ogg", "OggS\x00" + pad, "an Ogg file"},
		{"MPEG-4", "\x00\x00\x00\x20ftypM4A " + pad, "MPEG-4"},
		{"video", "RIFF\x00\x10\x00\x00AVI LIST" + pad, `of the form "AVI "`},
		{"companion", "\x00\x05\x16\x07\x00\x02\x00\x00Mac OS X" + pad, "AppleDouble"},
		{"zeros", pad, "nothing but zero bytes"},
		{"anything", "\x01\x02\x03\x04" + pad, "bytes 01 02 03 04"},
		{"cut within the form", "RIFF\x10\x00", "bytes 52 49 46 46 10 00"},
	} {
		_, err := readInfo([]byte(c.data))
		wantFormatError(t, err, "", 0, c.found)
		if err != nil {
			if other, ok := sentences[err.Error()]; ok && !strings.HasPrefix(c.name, "text") {
				t.Errorf("%s and %s get the same sentence: %v", c.name, other, err)
			}
			sentences[err.Error()] = c.name
		}
	}
}

// The head may be as short as one likes.
func TestIdentifyAnyPrefix(t *testing.T) {
	for _, other := range otherFormats {
		full := []byte(strings.ReplaceAll(other.pattern, "?", "\x00"))
		if found, _ := Identify(full); found != other.found {
			t.Errorf("% x is found to be %s, want %s", full, found, other.found)
		}
		for n := range full {
			if found, mend := Identify(full[:n]); found == "" || mend == "" {
				t.Errorf("% x: found %q, mend %q; want both", full[:n], found, mend)
			}
		}
	}
	if found, _ := Identify(bytes.Repeat([]byte{0xff}, 20)); !strings.HasPrefix(found, "bytes ff") {
		t.Errorf("all ones are found to be %s, want no format", found)
	}
}
