// Reads beside the window, caught by the memory management unit.

package voices

import (
	"runtime/debug"
	"testing"
	"unsafe"

	"golang.org/x/sys/unix"
	"pgregory.net/rapid"
)

// TestWindowAgainstUnmappedPages puts the source's end, then its start, against a page that cannot be read.
// NaN would not show a vector load that reaches too far and drops what it read; this does.
func TestWindowAgainstUnmappedPages(t *testing.T) {
	const bytes = 1 << 17
	memory, err := unix.Mmap(-1, 0, bytes, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_ANON|unix.MAP_PRIVATE)
	if err != nil {
		t.Fatal(err)
	}
	defer unix.Munmap(memory)
	page := unix.Getpagesize()
	for _, guard := range [][]byte{memory[:page], memory[bytes-page:]} {
		if err := unix.Mprotect(guard, unix.PROT_NONE); err != nil {
			t.Fatal(err)
		}
	}
	readable := memory[page : bytes-page]
	samples := unsafe.Slice((*float32)(unsafe.Pointer(&readable[0])), len(readable)/4)

	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	for q := Economy; q <= Best; q++ {
		eachArithmetic(t, q, MaxStep, func(t *testing.T, m *Mixer) {
			rapid.Check(t, func(t *rapid.T) {
				s := drawStretch(t, m)
				for _, place := range [][]float32{samples[:len(s.src)], samples[len(samples)-len(s.src):]} {
					copy(place, s.src)
					guarded := s
					guarded.src = place
					Prefetch(place)
					guarded.mix(m)
				}
			})
		})
	}
}
