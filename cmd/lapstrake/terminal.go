// Single keys from the terminal while the player plays.

package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"golang.org/x/term"
)

// terminal reads single keys. All its methods may be called from any goroutine.
type terminal struct {
	keys    chan playKey // nil, on which nothing ever comes, where standard input is no terminal
	fd      int
	before  *term.State
	restore sync.Once
}

// openTerminal takes single keys from in if it is a terminal, and leaves in alone if it is not.
//
// While it is open the terminal is in raw mode: nothing typed is echoed, Ctrl-C comes as playStop
// instead of a signal, Ctrl-Z does nothing (a stopped player would be thrown out by its sound
// server), and every line printed must end in \r\n, which statusLine sees to. Defer Close at once,
// and in every goroutine whose panic ends the program: it restores the terminal in a panic too.
func openTerminal(in *os.File) (*terminal, error) {
	fd := int(in.Fd())
	if !term.IsTerminal(fd) {
		return &terminal{}, nil
	}
	before, err := term.MakeRaw(fd)
	if err != nil {
		return nil, fmt.Errorf("standard input: the terminal does not give single keys: %w; to play without them, "+
			"add </dev/null", err)
	}
	t := &terminal{keys: make(chan playKey, 16), fd: fd, before: before}
	go t.read(in)
	return t, nil
}

// Keys is where keys come in. It is never closed.
func (t *terminal) Keys() <-chan playKey { return t.keys }

// Close gives the terminal back as it was found. Further calls do nothing.
func (t *terminal) Close() {
	if t.before != nil {
		t.restore.Do(func() { term.Restore(t.fd, t.before) })
	}
}

// read hands keys over until one of them says stop. It then gives the terminal back at once, so
// that a second Ctrl-C is a signal again, should the end of the player hang.
func (t *terminal) read(in io.Reader) {
	defer t.Close()
	var parser keyParser
	buffer := make([]byte, 64)
	last := time.Now()
	for {
		n, err := in.Read(buffer)
		if time.Since(last) > escapeGap {
			parser.reset()
		}
		last = time.Now()
		for _, b := range buffer[:n] {
			switch key := parser.take(b); {
			case key == playStop:
				t.Close()
				t.keys <- key // the last slot is kept for it: it does not block
				return
			case key != playNothing && len(t.keys) < cap(t.keys)-1:
				t.keys <- key // beyond that the player does not keep up with a key held down
			}
		}
		if err != nil {
			return // the terminal is gone
		}
	}
}

// escapeGap is longer than the bytes of one key's escape sequence are apart, and shorter than
// a hand takes from Escape to the next key.
const escapeGap = 100 * time.Millisecond

// keyParser makes keys of bytes. Arrow and function keys come as escape sequences
// (ECMA-48, 5.4: ESC [, parameters, a final byte) or as ESC O and a byte, keys with Alt
// as ESC and a byte. All but the arrows alone are no keys of ours and pass as a whole.
type keyParser struct{ state escapeState }

type escapeState int

const (
	plainByte    escapeState = iota
	afterEscape              // ESC
	lastByte                 // one more byte belongs to the sequence
	afterO                   // ESC O
	beginControl             // ESC [
	inControl                // ESC [ and something
)

const (
	byteInterrupt = 3 // Ctrl-C
	byteEscape    = 27
)

// reset ends a sequence that went no further, such as a lone Escape.
func (p *keyParser) reset() { p.state = plainByte }

// take is the key that is complete with b, or playNothing.
func (p *keyParser) take(b byte) playKey {
	state := p.state
	p.state = plainByte
	switch {
	case b == byteInterrupt:
		return playStop
	case b == byteEscape:
		p.state = afterEscape
	case state == plainByte:
		return keyOf(b)
	case state == afterEscape && b == '[':
		p.state = beginControl
	case state == afterEscape && b == 'O':
		p.state = afterO
	case state == afterO || state == beginControl && b >= 'A' && b <= 'D':
		return arrowOf(b)
	case state == beginControl && b == '[':
		p.state = lastByte // function keys of the Linux console: ESC [ [ and a letter
	case (state == beginControl || state == inControl) && b >= 0x20 && b < 0x40:
		p.state = inControl
	}
	return playNothing
}
