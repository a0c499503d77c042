// Writer of one file of the AIFF set.

package export

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"math"
	"math/bits"
	"time"

	"lapstrake/mapping/wav"
	"lapstrake/mapping/whole"
)

// AIFF 1.3: FORM, size, "AIFF", then COMM (the storage), MARK (places between frames), COMT (what is said of them),
// INST (the instrument), NAME, AUTH and ANNO (texts), SSND (the sound). All numbers are big-endian, and odd chunks get
// a pad byte.

// writeAIFF writes an item as AIFF.
func (j *Job) writeAIFF(i *Item, path string, step stepped) (clipped int64, err error) {
	head := j.aiffHead(i)
	sampleBytes := j.Format.Encoding().Bytes()
	soundBytes := i.Frames() * int64(i.Cycle.channels()*sampleBytes)
	const soundHead = 8 // offset and block size, both 0
	size := 4 + int64(len(head)) + 8 + soundHead + soundBytes
	if size > math.MaxUint32 {
		return 0, fmt.Errorf("%s: found %d frames to write, expected what an AIFF file of 4 GiB holds; "+
			"choose 16 bits, or make the beds shorter", path, i.Frames())
	}
	out, err := whole.Create(path)
	if err != nil {
		return 0, err
	}
	defer out.Discard()
	w := bufio.NewWriterSize(out, 1<<16)
	// w keeps an error until Flush.
	w.Write(be("FORM", uint32(size), "AIFF", head, "SSND", uint32(soundHead+soundBytes), uint64(0)))
	quantiser := wav.NewQuantiser(8*sampleBytes, i.seed())
	stored := make([]byte, 0, 2*pieceFrames*sampleBytes)
	err = i.each(0, i.Frames(), func(piece []float32, _ int64) error {
		stored = stored[:0]
		for _, sample := range i.stored(piece) {
			steps := quantiser.Steps(sample)
			for shift := 8 * (sampleBytes - 1); shift >= 0; shift -= 8 {
				stored = append(stored, byte(steps>>shift))
			}
		}
		if err := step(len(piece) / 2); err != nil {
			return err
		}
		_, err := w.Write(stored)
		return err
	})
	if err != nil {
		return 0, err
	}
	if err := w.Flush(); err != nil {
		return 0, err
	}
	return quantiser.Clipped(), out.Commit()
}

// aiffHead gives all chunks ahead of the sound. INST has room for one run of keys and gets the first.
func (j *Job) aiffHead(i *Item) []byte {
	const loopBegins, loopEnds, noLoop, forward, cents = 1, 2, 0, 1, 0
	marks, comments := j.aiffPlaces(i, loopBegins, loopEnds)
	keys := i.Keys[0]
	return be(
		aiffChunk("COMM", be(uint16(i.Cycle.channels()), uint32(i.Frames()), uint16(8*j.Format.Encoding().Bytes()),
			extended(i.Cycle.RateHz))),
		aiffChunk("MARK", marks),
		aiffChunk("COMT", comments),
		aiffChunk("INST", be(int8(i.Zone.Root), int8(cents), int8(keys.Low), int8(keys.High),
			int8(lowestVelocity), int8(highestVelocity), int16(math.Round(-j.Map.HeadroomDB)),
			uint16(forward), uint16(loopBegins), uint16(loopEnds), uint16(noLoop), uint16(0), uint16(0))),
		aiffChunk("NAME", []byte(j.itemTitle(i))),
		aiffChunk("AUTH", []byte(j.Artist)),
		aiffChunk("ANNO", []byte(j.describe(i))),
	)
}

// aiffPlaces are the bodies of MARK and COMT: the loop's ends by their numbers, and where each strand begins to sound
// alone. A comment has a date by seconds since 1904, 0 where there is none.
func (j *Job) aiffPlaces(i *Item, loopBegins, loopEnds uint16) (marks, comments []byte) {
	cues, dated := j.cues(i), uint32(0)
	if !j.Date.IsZero() {
		dated = uint32(j.Date.Sub(time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)) / time.Second)
	}
	marks = be(uint16(2+len(cues)),
		loopBegins, uint32(0), pascalString("loop begins"),
		loopEnds, uint32(i.Frames()), pascalString("loop ends"))
	for k, cue := range cues {
		number := loopEnds + 1 + uint16(k)
		text := cue.Label + " begins to sound alone"
		if len(text)%2 != 0 {
			text += "." // readers do not skip the pad byte of an odd text (seen: libsndfile 1.2), and lose the sound
		}
		marks = append(marks, be(number, uint32(cue.Frame), pascalString(cue.Label))...)
		comments = append(comments, be(dated, number, uint16(len(text)), text)...)
	}
	if cues == nil {
		return marks, nil
	}
	return marks, append(be(uint16(len(cues))), comments...)
}

// aiffChunk gives a chunk with its pad byte, or nothing where the body is empty.
func aiffChunk(id string, body []byte) []byte {
	if len(body) == 0 {
		return nil
	}
	return be(id, uint32(len(body)), body, make([]byte, len(body)%2))
}

// pascalString gives a count of bytes and the bytes, 255 at most, padded to an even length.
func pascalString(text string) []byte {
	text = text[:min(len(text), math.MaxUint8)]
	out := append([]byte{byte(len(text))}, text...)
	return append(out, make([]byte, len(out)%2)...)
}

// extended gives a rate as an 80-bit floating-point number (IEEE 754-1985, double extended).
func extended(rateHz int) []byte {
	const bias = 16383
	zeros := bits.LeadingZeros64(uint64(rateHz))
	return be(uint16(bias+63-zeros), uint64(rateHz)<<zeros)
}

// be joins numbers, big-endian, and text.
func be(fields ...any) []byte {
	var out []byte
	for _, field := range fields {
		if text, isText := field.(string); isText {
			field = []byte(text)
		}
		out, _ = binary.Append(out, binary.BigEndian, field) // an error means a field without a fixed size: none here
	}
	return out
}
