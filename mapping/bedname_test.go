// Checks the names of beds.

package mapping

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParseBedName(t *testing.T) {
	for name, want := range map[string]BedName{
		"soft-a-k036.wav":           {"soft", "a", 36},
		"loud-b2-k127.WAV":          {"loud", "b2", 127},
		"soft-a-k0.wav":             {"soft", "a", 0},
		"soft-a.wav":                {"soft", "a", -1},
		"soft-a-harbour-bell 2.wav": {"soft", "a", -1},
		"soft-a-k36b.wav":           {"soft", "a", -1},
	} {
		if got, err := ParseBedName(name); err != nil || got != want {
			t.Errorf("%s: %+v, %v; want %+v", name, got, err, want)
		}
	}
	for _, name := range []string{"", "soft.wav", "Soft-a-k036.wav", "soft-A-k036.wav", "1soft-a.wav",
		"soft--k036.wav", "soft-a-.wav", "soft-a-k128.wav", "soft-a-k999.wav", "soft-a-k036.mp3", "soft-a-x/y.wav",
		`soft-a-x\y.wav`, "soft-a-k036.wav\n", "soft-a-\xff.wav"} {
		if got, err := ParseBedName(name); err == nil {
			t.Errorf("%q: %+v, want an error", name, got)
		} else if !strings.Contains(err.Error(), "expected") {
			t.Errorf("%q: %v: says not what was expected", name, err)
		}
	}
}

func TestBedNamesReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[a-z][a-z0-9]{0,8}`)
		bed := BedName{word.Draw(t, "layer"), word.Draw(t, "strand"), rapid.IntRange(0, 127).Draw(t, "root")}
		if got, err := ParseBedName(bed.String()); err != nil || got != bed {
			t.Fatalf("%s: %+v, %v; want %+v", bed, got, err, bed)
		}
	})
}

func FuzzParseBedName(f *testing.F) {
	for _, name := range []string{"soft-a-k036.wav", "loud-b.wav", "soft-a-x.WAV", "soft-a-k999.wav", "-",
		"soft-a-\xff.wav"} {
		f.Add(name)
	}
	f.Fuzz(func(t *testing.T, name string) {
		bed, err := ParseBedName(name)
		if err != nil || bed.Root < 0 {
			return
		}
		if again, err := ParseBedName(bed.String()); err != nil || again != bed {
			t.Errorf("%q is %+v, which writes as %s and reads as %+v, %v", name, bed, bed, again, err)
		}
	})
}
