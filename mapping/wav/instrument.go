// The inst chunk: the keys and velocities that a sample player gives a file.

package wav

import "fmt"

// Instrument is what an inst chunk tells a sample player.
type Instrument struct {
	RootKey                   int // 0 to 127
	LowKey, HighKey           int
	LowVelocity, HighVelocity int // 1 to 127
	GainDB                    int // -64 to 64; how much louder to play the file
}

const (
	idInstrument    = "inst"
	instrumentBytes = 7
)

// Chunk is the inst chunk: note, cents, gain, low and high key, low and high velocity, a byte each (New Multimedia
// Data Types and Data Techniques, 1994, Instrument Chunk). The root is exactly in tune.
func (i Instrument) Chunk() Chunk {
	const cents = 0
	return Chunk{idInstrument, []byte{byte(i.RootKey), cents, byte(int8(i.GainDB)),
		byte(i.LowKey), byte(i.HighKey), byte(i.LowVelocity), byte(i.HighVelocity)}}
}

func readInstrument(body []byte) (*Instrument, error) {
	if len(body) < instrumentBytes {
		return nil, fmt.Errorf("found %d bytes, expected %d", len(body), instrumentBytes)
	}
	return &Instrument{
		RootKey: int(body[0]), GainDB: int(int8(body[2])), LowKey: int(body[3]), HighKey: int(body[4]),
		LowVelocity: int(body[5]), HighVelocity: int(body[6]),
	}, nil
}
