// Reused memory: a take needs many buffers, all gone as soon as it is rendered.

package boatyard

import "sync"

// arenas are kept from one take to the next: fresh memory costs more than some of the sounds.
var arenas = sync.Pool{New: func() any { return new(arena) }}

// arena hands out buffers from one block; they go back all at once. It is one goroutine's.
type arena struct {
	block []float64
	used  int
}

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
	}
	buffer := a.block[a.used : a.used+n : a.used+n]
	a.used += n
	return buffer
}

// back takes back everything that was handed out.
func (a *arena) back() { a.used = 0 }
