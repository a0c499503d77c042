// Reused memory: a bed is made of some forty takes, each gone as soon as it is mixed.
package boatyard

import "sync"

// arenas are kept from one bed to the next: fresh memory costs more than some of the sounds.
var arenas = sync.Pool{New: func() any { return new(arena) }}

// arena hands out buffers from one block; they go back all at once, or down to a mark. It is one goroutine's.
type arena struct {
	block []float64
	used  int
	grown int // how often the block was replaced by a larger one
}

// mark remembers how much was handed out.
type mark struct{ used, grown int }

// floats returns n zeros that stay the caller's until what was handed out goes back.
func (a *arena) floats(n int) []float64 {
	buffer := a.space(n)
	clear(buffer)
	return buffer
}

// space is floats for who writes every one before reading it: they hold anything.
func (a *arena) space(n int) []float64 {
	if a.used+n > len(a.block) { // buffers in the old block stay valid there
		a.block = make([]float64, max(len(a.block)*3/2, 2*n, 1<<19))
		a.used = 0
		a.grown++
	}
	buffer := a.block[a.used : a.used+n : a.used+n]
	a.used += n
	return buffer
}

func (a *arena) mark() mark { return mark{a.used, a.grown} }

// back takes back what was handed out since the mark; the zero mark stands for everything.
func (a *arena) back(m mark) {
	a.used = 0
	if m.grown == a.grown {
		a.used = m.used
	}
}
