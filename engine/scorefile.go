// The structure of a Standard MIDI File: its header and its tracks, checked against the file's length. Scores are
// read by hand: the library that writes them trusts what a file declares. It allocates any length stated, reads past
// the end of a track, takes missing bytes as zeros and panics at a status byte out of place.

package engine

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
)

const maxScoreBytes = 16 << 20 // some four million events

// fault says what is wrong at a byte of the file.
func fault(atByte int, found, expected, mend string) error {
	return fmt.Errorf("byte %d: found %s, expected %s; %s", atByte, found, expected, mend)
}

func readScoreBytes(r io.Reader) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxScoreBytes+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxScoreBytes && bytes.HasPrefix(data, []byte("MThd")) { // else the header tells more
		return nil, fault(maxScoreBytes, "more bytes", "a score of at most 16 MiB", "split the score")
	}
	return data, nil
}

// scoreFile is a file cut into its tracks.
type scoreFile struct {
	format   int
	division uint16
	tracks   []scoreTrack
}

// scoreTrack is the body of a track chunk, which begins at byte atByte of the file.
type scoreTrack struct {
	data   []byte
	atByte int
}

// splitScore checks the header and every chunk's length against the file's.
func splitScore(data []byte) (scoreFile, error) {
	const headerBytes = 14
	switch {
	case len(data) == 0:
		return scoreFile{}, fault(0, "an empty file", "a Standard MIDI File", "export the score again")
	case !bytes.HasPrefix(data, []byte("MThd")):
		return scoreFile{}, fault(0, fmt.Sprintf("%q", data[:min(4, len(data))]), `"MThd"`,
			"give a Standard MIDI File (.mid)")
	case len(data) < headerBytes:
		return scoreFile{}, fault(len(data), "the end of the file", "a header of 14 bytes", "export the score again")
	}
	file := scoreFile{format: int(bigEndian(data[8:10])), division: binary.BigEndian.Uint16(data[12:14])}
	declared := int(bigEndian(data[10:12]))
	if err := checkHeader(file, declared); err != nil {
		return scoreFile{}, err
	}
	at, length := 0, bigEndian(data[4:8])
	if length < headerBytes-8 {
		return scoreFile{}, fault(4, fmt.Sprintf("a header of %d bytes", length), "6 or more",
			"export the score again")
	}
	for {
		if left := uint64(len(data) - at - 8); length > left {
			return scoreFile{}, fault(at+4, fmt.Sprintf("a chunk of %d bytes", length),
				fmt.Sprintf("at most the %d that follow", left), "the file is cut short or damaged: copy or export "+
					"it again")
		}
		if at > 0 && string(data[at:at+4]) == "MTrk" { // chunks of other types are to be passed over
			file.tracks = append(file.tracks, scoreTrack{data[at+8:][:length], at + 8})
		}
		at += 8 + int(length)
		if len(data)-at < 8 || len(file.tracks) == declared && string(data[at:at+4]) != "MTrk" {
			break
		}
		length = bigEndian(data[at+4 : at+8])
	}
	if len(file.tracks) != declared {
		return scoreFile{}, fault(10, fmt.Sprintf("a header that declares %d tracks", declared),
			fmt.Sprintf("%d, as many as there are", len(file.tracks)), "the file is cut short or damaged: copy or "+
				"export it again")
	}
	return file, nil
}

func checkHeader(file scoreFile, declared int) error {
	const mend = "export the score again"
	if file.format > 2 {
		return fault(8, fmt.Sprintf("format %d", file.format), "0, 1 or 2", "export the score as format 0 or 1")
	}
	if declared == 0 || file.format == 0 && declared != 1 {
		return fault(10, fmt.Sprintf("%d tracks in a file of format %d", declared, file.format),
			"1 in format 0, 1 or more in the others", mend)
	}
	switch framesPerSec, ticksPerFrame := timeCode(file.division); framesPerSec {
	case 0:
		if file.division == 0 {
			return fault(12, "0 ticks a quarter note", "1 or more", mend)
		}
	case 24, 25, 29, 30:
		if ticksPerFrame == 0 {
			return fault(13, "0 ticks a time-code frame", "1 or more", mend)
		}
	default:
		return fault(12, fmt.Sprintf("a time code of %d frames a second", framesPerSec), "24, 25, 29 or 30", mend)
	}
	return nil
}

func bigEndian(digits []byte) (value uint64) {
	for _, digit := range digits {
		value = value<<8 | uint64(digit)
	}
	return value
}
