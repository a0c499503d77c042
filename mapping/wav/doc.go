// Package wav reads and writes WAVE files: the takes as contributed and the beds as rendered.
//
// A WAVE file is a RIFF form: "RIFF", a 32-bit size, "WAVE", then chunks in any order. A chunk is
// a name of four characters, a 32-bit size, that many bytes and, when their number is odd, one
// pad byte the size does not count. All numbers are little-endian. Chunks of interest:
//
//	fmt   how a sample is stored: format tag (1 integer, 3 float, 6 A-law, 7 µ-law, 0xFFFE see the
//	      GUID), channels, rate, bytes a frame, bits a sample
//	data  the frames, one sample a channel each, channels interleaved
//	smpl  the key at which the recording sounds as recorded, and its loops
//	inst  the keys and velocities that a sample player gives the file
//	bext  where the file comes from and how loud it is
//	LIST  of the kind INFO: title, artist, comment
//	ds64  in an RF64 or BW64 form: the sizes that do not fit in 32 bits
//
// Layouts: Microsoft/IBM, Multimedia Programming Interface and Data Specifications 1.0, 1991
// (RIFF, fmt, data, INFO); Microsoft, New Multimedia Data Types and Data Techniques, 1994 (smpl, inst, float);
// EBU Tech 3285 (bext); RFC 2361 and Microsoft's mmreg.h (format tags, WAVEFORMATEXTENSIBLE);
// EBU Tech 3306 (RF64); ITU-R BS.2088 (BW64).
//
// The reader trusts no size before it has compared it with the file's length, so a hostile header
// costs no memory. Several goroutines may read at once, from any position. A Writer puts a plain RIFF
// form on the disk, whole or not at all. A Recording puts one there that can be opened at any moment
// while it grows.
package wav
