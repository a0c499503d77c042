// Reading the chunks of a bank, one function for each.

package dls

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/bits"
	"strings"
)

var u16, u32 = binary.LittleEndian.Uint16, binary.LittleEndian.Uint32

func (p *parser) form() error {
	if p.size < 12 {
		return p.wrong(0, "", fmt.Sprintf("a file of %d bytes", p.size), "a bank of sounds, which begins with 12")
	}
	head, err := p.bytes(0, 12)
	if err != nil {
		return err
	}
	if string(head[:4]) != "RIFF" || string(head[8:]) != "DLS " {
		return p.wrong(0, "", fmt.Sprintf("%q and %q", head[:4], head[8:]), `"RIFF" and "DLS "`)
	}
	if size := int64(u32(head[4:])) + 8; size != p.size {
		return p.wrong(4, "", fmt.Sprintf("a size that ends at byte %d", size),
			fmt.Sprintf("the file's own end, %d", p.size))
	}
	if err := p.each(12, p.size, p.top); err != nil {
		return err
	}
	return p.agree()
}

func (p *parser) top(c piece) error {
	b := &p.f.Bank
	switch {
	case c.id == "colh":
		body, err := p.body(c, 4, 4)
		if err == nil {
			p.instruments = int(min(u32(body), math.MaxInt32))
		}
		return err
	case c.kind == "lins":
		return p.lists(c, "ins ", p.program)
	case c.id == "ptbl":
		return p.poolTable(c)
	case c.kind == "wvpl":
		p.pool = c.at
		return p.lists(c, "wave", p.wave)
	case c.kind == "INFO":
		return p.texts(c, map[string]*string{"INAM": &b.Title, "IART": &b.Artist, "ICMT": &b.Comment,
			"ISFT": &b.Software})
	}
	return nil
}

func (p *parser) poolTable(c piece) error {
	body, err := p.body(c, 8, 8+4*mostWaves)
	if err != nil {
		return err
	}
	at, count := int64(u32(body)), int64(u32(body[4:]))
	if at != 8 || at+4*count != c.size {
		return p.wrong(c.at, c.id, fmt.Sprintf("%d entries from byte %d on", count, at),
			fmt.Sprintf("entries that fill the %d bytes from byte 8 on", c.size))
	}
	p.offsets = make([]uint32, count)
	for i := range p.offsets {
		p.offsets[i] = u32(body[8+4*i:])
	}
	return nil
}

// agree compares the counts and the pool table with what was found.
func (p *parser) agree() error {
	if found := len(p.f.Programs); found != p.instruments {
		return p.wrong(12, "colh", fmt.Sprintf("%d instruments", p.instruments),
			fmt.Sprintf("the %d that are there", found))
	}
	if len(p.offsets) != len(p.waveAt) {
		return p.wrong(12, "ptbl", fmt.Sprintf("%d waves", len(p.offsets)),
			fmt.Sprintf("the %d that are there", len(p.waveAt)))
	}
	for i, at := range p.waveAt {
		if int64(p.offsets[i]) != at {
			return p.wrong(p.pool, "ptbl", fmt.Sprintf("wave %d at %d", i, p.offsets[i]),
				fmt.Sprintf("%d, where it is", at))
		}
	}
	for _, r := range p.regions {
		if r.wave >= len(p.f.Waves) {
			continue // the check of the bank reports it
		}
		if w := p.f.Waves[r.wave]; r.Root != w.Root || r.Guard != w.Guard || r.Frames != w.Frames {
			return p.wrong(r.at, "wsmp", fmt.Sprintf("root %d, loop %d+%d", r.Root, r.Guard, r.Frames),
				fmt.Sprintf("those of wave %d: %d, %d+%d", r.wave, w.Root, w.Guard, w.Frames))
		}
	}
	return nil
}

func (p *parser) program(in piece) error {
	if len(p.f.Programs) == mostPrograms {
		return p.wrong(in.at, in.kind, "one more instrument", fmt.Sprintf("at most %d", mostPrograms))
	}
	var program Program
	regions := uint32(0)
	err := p.each(in.at, in.at+in.size, func(c piece) error {
		switch {
		case c.id == "insh":
			body, err := p.body(c, 12, 12)
			if err == nil {
				bank := u32(body[4:])
				regions, program.Bank, program.Number = u32(body), int(bank&0x7F|bank>>8&0x7F<<7),
					int(u32(body[8:])&math.MaxInt32)
			}
			return err
		case c.kind == "lrgn":
			return p.lists(c, "rgn2", func(in piece) error { return p.region(in, &program) })
		case c.kind == "INFO":
			return p.texts(c, map[string]*string{"INAM": &program.Name})
		}
		return nil
	})
	if err == nil && regions != uint32(len(program.Regions)) {
		err = p.wrong(in.at, "insh", fmt.Sprintf("%d regions", regions),
			fmt.Sprintf("the %d that are there", len(program.Regions)))
	}
	p.f.Programs = append(p.f.Programs, program)
	return err
}

func (p *parser) region(in piece, program *Program) error {
	if len(program.Regions) == mostRegions {
		return p.wrong(in.at, in.kind, "one more region", fmt.Sprintf("at most %d", mostRegions))
	}
	var r Region
	var sample regionSample
	err := p.each(in.at, in.at+in.size, func(c piece) error {
		switch {
		case c.id == "rgnh":
			body, err := p.body(c, 12, 14)
			if err == nil {
				r.KeyLow, r.KeyHigh = int(u16(body)), int(u16(body[2:]))
				r.VelocityLow, r.VelocityHigh = int(u16(body[4:])), int(u16(body[6:]))
			}
			return err
		case c.id == "wlnk":
			body, err := p.body(c, 12, 12)
			if err != nil {
				return err
			}
			r.PhaseGroup, r.Wave = int(u16(body[2:])), int(u32(body[8:])&math.MaxInt32)
			r.Channel = Channel(bits.TrailingZeros32(u32(body[4:])))
			if r.Channel != Left && r.Channel != Right {
				return p.wrong(c.at+4, c.id, fmt.Sprintf("the channels %#x", u32(body[4:])), "1, left, or 2, right")
			}
		case c.id == "wsmp":
			sample.at = c.at
			return p.sample(c, &sample.Wave)
		case c.kind == "lar2":
			return p.each(c.at, c.at+c.size, func(c piece) error { return p.connections(c, &r) })
		}
		return nil
	})
	if sample.at > 0 {
		sample.wave = r.Wave
		p.regions = append(p.regions, sample)
	}
	program.Regions = append(program.Regions, r)
	return err
}

func (p *parser) connections(c piece, r *Region) error {
	if c.id != "art2" {
		return nil
	}
	const head, each, most = 8, 12, 1024
	body, err := p.body(c, head, head+each*most)
	if err != nil {
		return err
	}
	count := int64(u32(body[4:]))
	if u32(body) != head || head+each*count != c.size {
		return p.wrong(c.at, c.id, fmt.Sprintf("%d connections from byte %d on", count, u32(body)),
			fmt.Sprintf("connections that fill the %d bytes from byte %d on", c.size, head))
	}
	for at := head; at < len(body); at += each {
		r.Connections = append(r.Connections, Connection{Source(u16(body[at:])), Source(u16(body[at+2:])),
			Destination(u16(body[at+4:])), Transform(u16(body[at+6:])), int32(u32(body[at+8:]))})
	}
	return nil
}

func (p *parser) wave(in piece) error {
	if len(p.waveAt) == mostWaves {
		return p.wrong(in.at, in.kind, "one more wave", fmt.Sprintf("at most %d", mostWaves))
	}
	const kindAndHeader = 12
	p.waveAt = append(p.waveAt, in.at-kindAndHeader-p.pool)
	var w Wave
	var data piece
	err := p.each(in.at, in.at+in.size, func(c piece) error {
		switch {
		case c.id == "fmt ":
			body, err := p.body(c, 16, 18)
			if err != nil {
				return err
			}
			w.RateHz, w.Bits = int(u32(body[4:])&math.MaxInt32), int(u16(body[14:]))
			if u16(body) != 1 || u16(body[2:]) != 1 || w.Bits != 8 && w.Bits != 16 || int(u16(body[12:])) != w.Bits/8 {
				found := fmt.Sprintf("format %d, %d channels, %d bits, %d bytes a frame",
					u16(body), u16(body[2:]), w.Bits, u16(body[12:]))
				return p.wrong(c.at, c.id, found, "8- or 16-bit mono PCM")
			}
		case c.id == "wsmp":
			return p.sample(c, &w)
		case c.id == "data":
			data = c
		case c.kind == "INFO":
			return p.texts(c, map[string]*string{"INAM": &w.Name})
		}
		return nil
	})
	if err == nil && (data.at == 0 || w.Bits == 0 || data.size != w.bytes()) {
		err = p.wrong(data.at, "data", fmt.Sprintf("%d bytes", data.size),
			fmt.Sprintf("%d: a loop of %d frames and %d on both sides", w.bytes(), w.Frames, w.Guard))
	}
	p.f.Waves, p.f.data = append(p.f.Waves, w), append(p.f.data, data.at)
	return err
}

// sample reads root and loop of a wsmp chunk.
func (p *parser) sample(c piece, w *Wave) error {
	body, err := p.body(c, 36, 36)
	if err != nil {
		return err
	}
	w.Root, w.Guard, w.Frames = int(u16(body[4:])), int64(u32(body[28:])), int64(u32(body[32:]))
	if u32(body) != 20 || u16(body[6:]) != 0 || u32(body[8:]) != 0 || u32(body[16:]) != 1 || u32(body[24:]) != 0 {
		found := fmt.Sprintf("%d loops, the first of type %d, fine tune %d, gain %d",
			u32(body[16:]), u32(body[24:]), int16(u16(body[6:])), int32(u32(body[8:])))
		return p.wrong(c.at, c.id, found, "one forward loop, in tune and without gain")
	}
	return nil
}

// texts reads those texts of an INFO list that are wanted.
func (p *parser) texts(in piece, wanted map[string]*string) error {
	return p.each(in.at, in.at+in.size, func(c piece) error {
		text := wanted[c.id]
		if text == nil {
			return nil
		}
		const most = 1 << 16
		body, err := p.body(c, 0, most)
		*text = strings.TrimRight(string(body), "\x00")
		return err
	})
}
