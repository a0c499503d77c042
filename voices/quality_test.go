package voices

import (
	"math"
	"strings"
	"testing"
)

func TestQualityWords(t *testing.T) {
	taps := map[Quality]int{Economy: 16, Standard: 24, High: 32, Best: 48}
	for q, want := range taps {
		got, err := ParseQuality(strings.ToUpper(q.String()))
		if err != nil || got != q {
			t.Errorf("ParseQuality(%q) = %v, %v", strings.ToUpper(q.String()), got, err)
		}
		if got := designs[q].taps; got != want {
			t.Errorf("%v has %d taps, want %d", q, got, want)
		}
	}
	_, err := ParseQuality("superb")
	for _, word := range []string{`"superb"`, "economy", "standard", "high", "best"} {
		if err == nil || !strings.Contains(err.Error(), word) {
			t.Errorf("the error for an unknown quality does not mention %s: %v", word, err)
		}
	}
}

func TestNewMixerRefuses(t *testing.T) {
	for _, c := range []struct {
		quality    Quality
		arithmetic Arithmetic
		maxStep    float64
		says       string
	}{
		{Quality(4), Fastest, 1, "quality 4"},
		{Quality(-1), Fastest, 1, "quality -1"},
		{Standard, Arithmetic(3), 1, "Arithmetic(3)"},
		{Standard, Fastest, 0, "step 0"},
		{Standard, Fastest, 16.5, "step 16.5"},
		{Standard, Fastest, math.NaN(), "step NaN"},
	} {
		m, err := NewMixer(c.quality, c.arithmetic, c.maxStep)
		if m != nil || err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("NewMixer(%v, %v, %v) gives %v, want an error with %q", c.quality, c.arithmetic,
				c.maxStep, err, c.says)
		}
	}
}

func TestArithmetic(t *testing.T) {
	if !Portable.Available() || !Fastest.Available() {
		t.Error("portable arithmetic must be available everywhere, and so must the fastest there is")
	}
	words := map[Arithmetic]string{Fastest: "fastest", AVX2: "AVX2", Portable: "portable"}
	for a, word := range words {
		if a.String() != word {
			t.Errorf("arithmetic %d prints as %q, want %q", int(a), a, word)
		}
	}
}
