// The bext chunk: where a file comes from and how loud it is.

package wav

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"
)

// Broadcast is a bext chunk of version 2 (EBU Tech 3285), whose texts are ASCII. A loudness of NaN is not set. The
// UMID stays empty.
type Broadcast struct {
	Description         string // cut to 256 bytes
	Originator          string // cut to 32
	OriginatorReference string // cut to 32
	Date, Time          string // of origination, yyyy-mm-dd and hh:mm:ss; empty: not told
	CodingHistory       string // lines that end in CR LF (EBU R 98)

	LoudnessLUFS, RangeLU, TruePeakDBTP, MaxMomentaryLUFS, MaxShortTermLUFS float64
}

const (
	idBroadcast    = "bext"
	broadcastBytes = 602 // ahead of the coding history
	loudnessUnset  = 0x7FFF

	atOriginator, atReference, atDate, atTime, atTimeReference, atVersion, atLoudness = 256, 288, 320,
		330, 338, 346, 412
)

// loudness gives the figures in the order of the chunk.
func (b *Broadcast) loudness() []*float64 {
	return []*float64{&b.LoudnessLUFS, &b.RangeLU, &b.TruePeakDBTP, &b.MaxMomentaryLUFS, &b.MaxShortTermLUFS}
}

// Chunk is the bext chunk.
func (b Broadcast) Chunk() Chunk {
	body := make([]byte, broadcastBytes, broadcastBytes+len(b.CodingHistory))
	copy(body[:atOriginator], ASCII(b.Description))
	copy(body[atOriginator:atReference], ASCII(b.Originator))
	copy(body[atReference:atReference+32], ASCII(b.OriginatorReference))
	copy(body[atDate:atTime], ASCII(b.Date))
	copy(body[atTime:atTimeReference], ASCII(b.Time))
	binary.LittleEndian.PutUint16(body[atVersion:], 2)
	for i, value := range b.loudness() {
		hundredths := uint16(loudnessUnset)
		if scaled := math.Round(*value * 100); math.Abs(scaled) < loudnessUnset {
			hundredths = uint16(int16(scaled))
		}
		binary.LittleEndian.PutUint16(body[atLoudness+2*i:], hundredths)
	}
	return Chunk{idBroadcast, append(body, ASCII(b.CodingHistory)...)}
}

// readBroadcast reads the body of a bext chunk.
func readBroadcast(body []byte) (*Broadcast, error) {
	if len(body) < broadcastBytes {
		return nil, fmt.Errorf("found %d bytes, expected %d or more", len(body), broadcastBytes)
	}
	text := func(field []byte) string {
		before, _, _ := strings.Cut(string(field), "\x00")
		return before
	}
	b := &Broadcast{
		Description: text(body[:atOriginator]), Originator: text(body[atOriginator:atReference]),
		OriginatorReference: text(body[atReference : atReference+32]), CodingHistory: text(body[broadcastBytes:]),
		Date: text(body[atDate:atTime]), Time: text(body[atTime:atTimeReference]),
	}
	for i, value := range b.loudness() {
		*value = math.NaN()
		if hundredths := int16(binary.LittleEndian.Uint16(body[atLoudness+2*i:])); hundredths != loudnessUnset {
			*value = float64(hundredths) / 100
		}
	}
	return b, nil
}
