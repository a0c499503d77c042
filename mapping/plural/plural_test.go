package plural

import "testing"

func TestOf(t *testing.T) {
	for n, want := range map[int]string{0: "0 beds", 1: "1 bed", 2: "2 beds"} {
		if got := Of(n, "bed"); got != want {
			t.Errorf("%d: %q, want %q", n, got, want)
		}
	}
}
