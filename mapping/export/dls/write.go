// Writing a bank.

package dls

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"

	"lapstrake/mapping/wav"
)

// Sound fills dst with len(dst) samples of a wave from frame from of its loop on, all within it, in steps of the
// wave's depth: −32768 to 32767, or −128 to 127.
type Sound func(dst []int16, wave int, from int64) error

// SizeBytes is how long the file of a bank is.
func SizeBytes(b *Bank) int64 {
	size := int64(len(b.head())) + int64(len(b.info()))
	for i := range b.Waves {
		size += b.Waves[i].listBytes()
	}
	return size
}

// Check says why the bank cannot be written: what is wrong in it, or that it is too long for the format.
func Check(b *Bank) error {
	if err := b.check(); err != nil {
		return err
	}
	if size := SizeBytes(b); size-8 > math.MaxUint32 {
		return fmt.Errorf("a bank of %d MB: expected less than 4 GiB, which is what the format can hold; "+
			"give the map fewer zones or shorter beds, or set a budget", size>>20)
	}
	return nil
}

// Write writes the bank to out. Same bank and samples, same bytes.
func Write(out io.Writer, b *Bank, sound Sound) error {
	if err := Check(b); err != nil {
		return err
	}
	if _, err := out.Write(b.head()); err != nil {
		return err
	}
	for i := range b.Waves {
		if err := writeWave(out, &b.Waves[i], func(dst []int16,
			from int64) error {
			return sound(dst, i, from)
		}); err != nil {
			return err
		}
	}
	_, err := out.Write(b.info())
	return err
}

// head gives all that stands ahead of the waves.
func (b *Bank) head() []byte {
	instruments := make([][]byte, len(b.Programs))
	for i := range b.Programs {
		instruments[i] = b.Programs[i].list(b.Waves)
	}
	pool, offsets := int64(0), le(uint32(8), uint32(len(b.Waves)))
	for i := range b.Waves {
		offsets = append(offsets, le(uint32(pool))...)
		pool += b.Waves[i].listBytes()
	}
	const major, minor = 1, 0 // of the content
	body := bytes.Join([][]byte{
		chunk("vers", le(uint16(minor), uint16(major), uint32(0))), // a number of 64 bits, its high half first
		chunk("colh", le(uint32(len(b.Programs)))),
		list("lins", instruments...),
		chunk("ptbl", offsets),
		le("LIST", uint32(4+pool), "wvpl"),
	}, nil)
	size := 4 + int64(len(body)) + pool + int64(len(b.info()))
	return append(le("RIFF", uint32(size), "DLS "), body...)
}

func (b *Bank) info() []byte {
	return texts(wav.Text{ID: "INAM", Text: b.Title}, wav.Text{ID: "IART", Text: b.Artist},
		wav.Text{ID: "ICMT", Text: b.Comment}, wav.Text{ID: "ISFT", Text: b.Software})
}

func (p *Program) list(waves []Wave) []byte {
	regions := make([][]byte, len(p.Regions))
	for i := range p.Regions {
		regions[i] = p.Regions[i].list(&waves[p.Regions[i].Wave])
	}
	bank := uint32(p.Bank&0x7F | p.Bank>>7<<8) // controller 32 in bits 0 to 6, controller 0 in bits 8 to 14
	return list("ins ", chunk("insh", le(uint32(len(p.Regions)), bank, uint32(p.Number))),
		list("lrgn", regions...), texts(wav.Text{ID: "INAM", Text: p.Name}))
}

func (r *Region) list(wave *Wave) []byte {
	const mayOverlapItself, phaseMaster, multichannel = 1, 1, 2
	options := uint16(multichannel)
	if r.Channel == Left {
		options |= phaseMaster
	}
	connections := le(uint32(8), uint32(len(r.Connections)))
	for _, c := range r.Connections {
		connections = append(connections,
			le(uint16(c.Source), uint16(c.Control), uint16(c.Destination), uint16(c.Transform), c.Scale)...)
	}
	return list("rgn2",
		chunk("rgnh", le(uint16(r.KeyLow), uint16(r.KeyHigh), uint16(r.VelocityLow), uint16(r.VelocityHigh),
			uint16(mayOverlapItself), uint16(0))),
		wave.sample(),
		chunk("wlnk", le(options, uint16(r.PhaseGroup), uint32(1)<<r.Channel, uint32(r.Wave))),
		list("lar2", chunk("art2", connections)))
}

// head gives what stands ahead of a wave's samples in its list.
func (w *Wave) head() []byte {
	const plainPCM, mono = 1, 1
	sampleBytes := w.Bits / 8
	return bytes.Join([][]byte{
		chunk("fmt ", le(uint16(plainPCM), uint16(mono), uint32(w.RateHz), uint32(w.RateHz*sampleBytes),
			uint16(sampleBytes), uint16(w.Bits))),
		w.sample(),
		le("data", uint32(w.bytes())),
	}, nil)
}

// sample gives the wsmp chunk: the root, in tune, and the loop. It stands with the wave and with each region that
// plays the wave, because some readers look only there.
func (w *Wave) sample() []byte {
	const forward = 0
	return chunk("wsmp", le(uint32(20), uint16(w.Root), int16(0), int32(0), uint32(0), uint32(1),
		uint32(16), uint32(forward), uint32(w.Guard), uint32(w.Frames)))
}

func (w *Wave) tail() []byte { return texts(wav.Text{ID: "INAM", Text: w.Name}) }

// listBytes is how long the wave's list is, its own header included.
func (w *Wave) listBytes() int64 {
	return 12 + int64(len(w.head())) + w.bytes() + w.bytes()%2 + int64(len(w.tail()))
}

func writeWave(out io.Writer, w *Wave, sound func(dst []int16, from int64) error) error {
	if _, err := out.Write(append(le("LIST", uint32(w.listBytes()-8), "wave"), w.head()...)); err != nil {
		return err
	}
	const pieceFrames = 8192
	samples, bytes := make([]int16, pieceFrames), make([]byte, 0, 2*pieceFrames)
	for at := -w.Guard; at < w.Frames+w.Guard; {
		from := ((at % w.Frames) + w.Frames) % w.Frames
		n := min(pieceFrames, w.Frames+w.Guard-at, w.Frames-from)
		if err := sound(samples[:n], from); err != nil {
			return err
		}
		bytes = bytes[:0]
		for _, sample := range samples[:n] {
			if w.Bits == 8 {
				bytes = append(bytes, byte(sample+128)) // offset binary
			} else {
				bytes = binary.LittleEndian.AppendUint16(bytes, uint16(sample))
			}
		}
		if _, err := out.Write(bytes); err != nil {
			return err
		}
		at += n
	}
	_, err := out.Write(append(make([]byte, w.bytes()%2), w.tail()...))
	return err
}
