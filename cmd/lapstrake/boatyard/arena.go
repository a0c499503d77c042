// Reused memory: a bed is made of some forty takes, each gone as soon as it is mixed.
package boatyard

import "sync"

// arenas are kept from one bed to the next: fresh memory costs more than some of the sounds.
var arenas = sync.Pool{New: func() any { return new(arena) }}

// arena hands out zeroed buffers; all of them return to it at once. It is one goroutine's.
type arena struct {
	blocks [][]float64
	used   int
}

// floats returns n zeros that stay the caller's until release.
func (a *arena) floats(n int) []float64 {
	block := a.space(n)
	clear(block)
	return block
}

// space is floats for who writes every one before reading it: they hold anything.
func (a *arena) space(n int) []float64 {
	if a.used == len(a.blocks) {
		a.blocks = append(a.blocks, nil)
	}
	block := a.blocks[a.used]
	if cap(block) < n {
		block = make([]float64, n+n/4)
		a.blocks[a.used] = block
	}
	a.used++
	return block[:n:n]
}

func (a *arena) release() { a.used = 0 }
