// Package decode reads the sound files that people send.
//
// File goes by what a file holds, not by its name: WAV of every kind (mapping/wav), AIFF and AIFF-C, FLAC, MP3 and
// Ogg Vorbis, each by a reader that is part of the program. Everything else, and what these readers cannot make sense
// of, is given to the program ffmpeg where it is installed. All of it ends as a Sound: one slice of 32-bit floats a
// channel, full scale ±1, at the rate and with the channels that the file has. Nothing is resampled or mixed;
// Sound.Mono and Sound.Stereo mix where a caller asks for it. Part keeps a span of a file; Walk keeps nothing, but
// hands the sound on block by block.
//
// Every reader keeps to this, as testReader checks:
//   - Files are opened for reading only. The same file always gives the same samples.
//   - Samples are finite numbers: NaN, infinity and what flipped bits make of floats become 0 and set
//     Sound.NotFinite.
//   - A checksum of the file that does not fit sets Sound.Damaged (FLAC, Ogg).
//   - A file that is cut off or damaged gives what comes before and sets Sound.Truncated, or an error.
//   - A length that is declared but not there costs no memory. More than 30 minutes, 8 channels or 691 MB is a
//     *LimitError.
//   - Errors name the file, the place in it where there is one, what was found, what was expected and the mend.
//
// Sources: Apple, Audio Interchange File Format 1.3 (1989) and AIFF-C (draft, 1991); RFC 9639 (FLAC); RFC 3533 (Ogg);
// Xiph.Org, Vorbis I specification; ISO/IEC 11172-3 and 13818-3 (MP3); ID3v2.4.0. Damaged and hostile files are made
// by the tests, byte by byte.
package decode
