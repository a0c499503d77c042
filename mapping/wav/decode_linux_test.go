// The decoders read nothing beyond their source: it ends at a page that may not be touched.

package wav

import (
	"os"
	"runtime/debug"
	"syscall"
	"testing"
)

func TestDecodeStaysWithinSource(t *testing.T) {
	page := os.Getpagesize()
	memory, err := syscall.Mmap(-1, 0, 2*page, syscall.PROT_READ|syscall.PROT_WRITE,
		syscall.MAP_ANON|syscall.MAP_PRIVATE)
	if err != nil {
		t.Fatal(err)
	}
	defer syscall.Munmap(memory)
	if err := syscall.Mprotect(memory[page:], syscall.PROT_NONE); err != nil {
		t.Fatal(err)
	}
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	for e := Uint8; e <= MuLaw; e++ {
		for n := 1; n <= 100; n++ {
			src := memory[page-n*e.Bytes() : page]
			func() {
				defer func() {
					if fault := recover(); fault != nil {
						t.Fatalf("%v, %d samples: %v", e, n, fault)
					}
				}()
				Decode(make([]float32, n), src, e)
				DecodePortable(make([]float32, n), src, e)
			}()
		}
	}
}
