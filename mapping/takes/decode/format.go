// What a file is, told by its first bytes.

package decode

// format is a kind of file and, where there is one, our own reader for it.
type format struct {
	pattern string // of the first bytes; ? stands for any
	name    string
	read    func(*input) (*Sound, error)
}

// formats are tried in order. The patterns are those of the formats' own descriptions.
var formats = []format{
	{"RIFF????WAVE", "WAV", decodeWAV},
	{"RF64????WAVE", "WAV", decodeWAV},
	{"BW64????WAVE", "WAV", decodeWAV},
	{"FORM????AIFF", "AIFF", decodeAIFF},
	{"FORM????AIFC", "AIFF", decodeAIFF},
	{"fLaC", "FLAC", decodeFLAC},
	{"RIFX????WAVE", "RIFX", nil},
	{"riff\x2e\x91\xcf\x11", "Wave64", nil},
	// a first page of the one header, and that of Vorbis
	{"OggS??????????????????????\x01\x1e\x01vorbis", "Ogg", decodeVorbis},
	{"OggS", "Ogg", nil},
	{".snd", "AU", nil},
	{"dns.", "AU", nil},
	{"caff", "CAF", nil},
	{"????ftyp", "MPEG-4", nil},
	{"wvpk", "WavPack", nil},
	{"MAC ", "APE", nil},
	{"TTA1", "TTA", nil},
	{"\x1aE\xdf\xa3", "Matroska", nil},
	{"\x30\x26\xb2\x75", "Windows Media", nil},
	{"FORM????8SVX", "8SVX", nil},
	{"Creative Voice File", "VOC", nil},
	{"#!AMR", "AMR", nil},
}

// format finds the file's kind. What no pattern fits is searched for the frames of an MP3 stream, which has no
// beginning of its own; the rest is for ffmpeg to find out.
func (in *input) format() format {
	for _, f := range formats {
		if in.begins(f.pattern) {
			return f
		}
	}
	if findMP3(in.head) >= 0 {
		return format{name: "MP3", read: decodeMP3}
	}
	return format{name: "other"}
}

// begins compares the first bytes with a pattern.
func (in *input) begins(pattern string) bool {
	if len(in.head) < len(pattern) {
		return false
	}
	for i := range len(pattern) {
		if pattern[i] != '?' && pattern[i] != in.head[i] {
			return false
		}
	}
	return true
}
