// Reading a bank back. The reader trusts no size before it has compared it with the file's length.

package dls

import (
	"encoding/binary"
	"fmt"
	"io"

	"lapstrake/mapping/wav"
)

// File is a bank open for reading.
type File struct {
	Bank
	path string
	r    io.ReaderAt
	data []int64 // of each wave, where its samples begin
}

// Read reads all of a bank of sizeBytes bytes but its samples; name is used in errors. It reads what this package
// writes and is strict: sizes, counts, the pool table, indices and loops must agree. What is wrong gives a
// *wav.FormatError; a read that fails is wrapped.
func Read(r io.ReaderAt, sizeBytes int64, name string) (*File, error) {
	f := &File{path: name, r: r}
	p := parser{f: f, size: sizeBytes}
	if err := p.form(); err != nil {
		return nil, err
	}
	if err := f.check(); err != nil {
		return nil, fmt.Errorf("%s: %w; make the bank anew", name, err)
	}
	return f, nil
}

// ReadWave fills dst with the stored samples of a wave from frame from on, in steps of the wave's depth. Frame 0 is
// the first guard frame.
func (f *File) ReadWave(dst []int16, wave int, from int64) error {
	w := &f.Waves[wave]
	if from < 0 || from > w.storedFrames()-int64(len(dst)) {
		return fmt.Errorf("%s: wave %d, frame %d: asked for %d frames, expected them within the %d that are stored",
			f.path, wave, from, len(dst), w.storedFrames())
	}
	sampleBytes := w.Bits / 8
	raw := make([]byte, len(dst)*sampleBytes)
	if n, err := f.r.ReadAt(raw, f.data[wave]+from*int64(sampleBytes)); n < len(raw) {
		return fmt.Errorf("%s: wave %d: cannot be read: %w; make the bank anew, or check the disk", f.path, wave, err)
	}
	for i := range dst {
		if w.Bits == 8 {
			dst[i] = int16(raw[i]) - 128
		} else {
			dst[i] = int16(binary.LittleEndian.Uint16(raw[2*i:]))
		}
	}
	return nil
}

// parser walks the chunks of one file.
type parser struct {
	f    *File
	size int64

	instruments int   // as colh counts them
	pool        int64 // the first byte after "wvpl"
	offsets     []uint32
	regions     []regionSample
	waveAt      []int64 // where each wave's list begins, from pool
}

// regionSample is what a region says of its wave.
type regionSample struct {
	Wave
	wave int // its index
	at   int64
}

// piece is a chunk found in the file.
type piece struct {
	id       string
	kind     string // of a LIST
	at, size int64  // of the body, without the kind
}

const mend = "make the bank anew"

// wrong is the error of what was found at a byte of the file.
func (p *parser) wrong(at int64, id, found, expected string) error {
	return &wav.FormatError{Path: p.f.path, Chunk: id, Offset: at, Found: found, Expected: expected, Mend: mend}
}

// bytes reads size bytes, which the caller has compared with the file's length.
func (p *parser) bytes(at, size int64) ([]byte, error) {
	body := make([]byte, size)
	if n, err := p.f.r.ReadAt(body, at); int64(n) < size {
		return nil, fmt.Errorf("%s: byte %d: cannot be read: %w; %s, or check the disk", p.f.path, at, err, mend)
	}
	return body, nil
}

// body reads the body of a chunk that has least to most bytes.
func (p *parser) body(c piece, least, most int64) ([]byte, error) {
	if c.size < least || c.size > most {
		return nil, p.wrong(c.at-4, c.id, fmt.Sprintf("a size of %d bytes", c.size),
			fmt.Sprintf("%d to %d", least, most))
	}
	return p.bytes(c.at, c.size)
}

// each calls visit for every chunk from byte at up to end, which they must fill.
func (p *parser) each(at, end int64, visit func(piece) error) error {
	for at < end {
		if end-at < 8 {
			return p.wrong(at, "", fmt.Sprintf("%d bytes", end-at), "a chunk, which has 8 or more")
		}
		header, err := p.bytes(at, 8)
		if err != nil {
			return err
		}
		c := piece{id: string(header[:4]), at: at + 8, size: int64(binary.LittleEndian.Uint32(header[4:]))}
		next := c.at + c.size + c.size%2
		if next > end {
			return p.wrong(at+4, c.id, fmt.Sprintf("a size of %d bytes", c.size),
				fmt.Sprintf("at most the %d up to the end of what holds it", end-c.at))
		}
		if c.id == "LIST" {
			kind, err := p.body(piece{c.id, "", c.at, min(c.size, 4)}, 4, 4)
			if err != nil {
				return err
			}
			c.kind, c.at, c.size = string(kind), c.at+4, c.size-4
		}
		if err := visit(c); err != nil {
			return err
		}
		at = next
	}
	return nil
}

// lists calls visit for every LIST of one kind.
func (p *parser) lists(in piece, kind string, visit func(piece) error) error {
	return p.each(in.at, in.at+in.size, func(c piece) error {
		if c.kind != kind {
			return nil
		}
		return visit(c)
	})
}
