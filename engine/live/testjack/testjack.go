// What the tests on JACK need.

//go:build cgo && unix

package live

import (
	"os"
	"os/exec"
	"testing"
)

// requireJACK leaves a test out where programs of jackd2 are missing, unless LAPSTRAKE_JACK=required says that they have
// to be there.
func requireJACK(t *testing.T, programs ...string) {
	t.Helper()
	for _, program := range append([]string{"jackd", "jack_wait"}, programs...) {
		if _, err := exec.LookPath(program); err == nil {
			continue
		}
		if os.Getenv("LAPSTRAKE_JACK") == "required" {
			t.Fatalf("no %s: install jackd2", program)
		}
		t.Skipf("no %s: install jackd2 to run this test", program)
	}
	t.Setenv("JACK_NO_AUDIO_RESERVATION", "1")
	t.Setenv("JACK_NO_START_SERVER", "1")
}
