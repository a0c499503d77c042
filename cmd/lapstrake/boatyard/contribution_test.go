// What came in is what its list says, defects included.

package boatyard

import (
	"crypto/sha256"
	"encoding/binary"
	"math"
	"path"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/takes/measure"
)

// A longer list begins with the same files, and no two have one name, also where names are alike but for their case.
func TestContributionsAreListedAlike(t *testing.T) {
	all := Contributions(2000)
	seen := map[string]bool{}
	for i, c := range all {
		if name := strings.ToLower(c.Path); seen[name] {
			t.Errorf("%s is there twice", c.Path)
		} else {
			seen[name] = true
		}
		if folder, file := path.Split(c.Path); strings.Count(c.Path, "/") != 1 || folder == "/" ||
			!strings.HasSuffix(file, ".wav") || strings.ContainsAny(c.Path, ` \:*?"<>|,`) {
			t.Errorf("file %d: %q is no name for every system", i, c.Path)
		}
		if (c.Defect == Chord || c.Defect == WrongOctave) && c.Maker.Kind == Noisy {
			t.Errorf("file %d: %s is to be %q, but has no key", i, c.Path, c.Defect)
		}
		if !slices.Contains([]int{16, 24, 32}, c.Bits) || c.RateHz < 8000 || c.Seconds <= 0 ||
			c.Key < 0 || c.Key > 127 {
			t.Errorf("file %d: %+v", i, c)
		}
	}
	for _, count := range []int{0, 1, 16, 48, 100} {
		for i, c := range Contributions(count) {
			if c.Path != all[i].Path || c.Key != all[i].Key || c.Cents != all[i].Cents || c.Defect != all[i].Defect ||
				c.RateHz != all[i].RateHz || c.Bits != all[i].Bits || c.Seconds != all[i].Seconds ||
				c.seed != all[i].seed || c.layer != all[i].layer || c.Maker.Title != all[i].Maker.Title {
				t.Errorf("file %d of %d is %s, of 2000 %s", i, count, c.Path, all[i].Path)
			}
		}
	}
	if a, b := digest(Contributions(3)[2].Samples()), digest(all[2].Samples()); a != b {
		t.Error("rendered again, the samples are others")
	}
}

func digest(samples []float32) [32]byte {
	data := make([]byte, 0, 4*len(samples))
	for _, x := range samples {
		data = binary.LittleEndian.AppendUint32(data, math.Float32bits(x))
	}
	return sha256.Sum256(data)
}

// soundOf is what decoding the file would give.
func soundOf(c *Contribution) *decode.Sound {
	samples, channels := c.Samples(), c.Channels()
	sound := &decode.Sound{RateHz: c.RateHz, Bits: c.Bits, Float: c.Bits == 32, Format: "WAV",
		Channels: make([][]float32, channels)}
	for i, x := range samples {
		sound.Channels[i%channels] = append(sound.Channels[i%channels], x)
	}
	return sound
}

// Among the files that the full demo asks for, each defect is there, and it is what its name says.
func TestDefectsAreWhatTheySay(t *testing.T) {
	all := Contributions(defectsEvery)
	seen := map[Defect]bool{}
	for i := range all {
		c := &all[i]
		if c.Defect == None || seen[c.Defect] {
			continue
		}
		seen[c.Defect] = true
		if c.Defect == Duplicate {
			before := &all[i-1]
			if c.RateHz != before.RateHz || c.Bits != before.Bits || c.Channels() != before.Channels() ||
				c.Path == before.Path || digest(c.Samples()) != digest(before.Samples()) {
				t.Errorf("%s is not %s again", c.Path, before.Path)
			}
			continue
		}
		m := measure.Take(soundOf(c))
		t.Logf("%s: %s (%s): peak %.1f dBFS, %d runs clipped, DC %.1f %%, onset %.2f s, end %.2f, hum %.0f dBFS at "+
			"%d, pitch %.2f Hz (%.2f) for key %d, flags %v", c.Path, c.Defect,
			c.Maker.Kind, m.PeakDBFS, m.ClippedRuns, m.DCPercent, m.OnsetSec, m.EndSec, m.HumDBFS, m.HumMainsHz,
			m.Pitch.Hz, m.Pitch.Confidence, c.Key, m.Flags())
		if wrong := missing(c, &m); wrong != "" {
			t.Errorf("%s is to be %q: %s", c.Path, c.Defect, wrong)
		}
	}
	for _, d := range []Defect{Clipped, Silent, Chord, TooShort, WrongOctave, Duplicate, Offset, Faint, LongLead,
		Humming, Telephone} {
		if !seen[d] {
			t.Errorf("none is %q", d)
		}
	}
}

// missing says what a file lacks to be what its defect says, "" if nothing.
func missing(c *Contribution, m *measure.Measures) string {
	flags := m.Flags()
	for defect, flag := range map[Defect]measure.Flag{Clipped: measure.Clipped, Silent: measure.Silent,
		TooShort: measure.TooShort, Offset: measure.HasDC, Humming: measure.Hum, Telephone: measure.LowRate} {
		if c.Defect == defect && !slices.Contains(flags, flag) {
			return "it is not flagged " + string(flag)
		}
	}
	switch {
	case c.Defect == Faint && !(m.PeakDBFS < -35):
		return "its peak is not below −35 dBFS"
	case c.Defect == LongLead && !(m.OnsetSec > 2.9):
		return "its onset is not after 2.9 s"
	case c.Defect == Humming && m.HumMainsHz != 50:
		return "the mains are not at 50 Hz"
	case c.Defect == Telephone && (c.Channels() != 1 || m.RateHz != 8000):
		return "it is not mono at 8 kHz"
	case c.Defect == Chord && (c.Maker.Kind == Noisy || m.Pitch.Sure() && !m.Pitch.Several):
		return "one sure pitch is heard, or none was played"
	case c.Defect == WrongOctave:
		name := strings.TrimSuffix(c.Path[strings.LastIndex(c.Path, "-")+1:], ".wav")
		if key, err := mapping.MiddleC4.ParseKey(name); err != nil || key != c.Key-12 {
			return "its name says " + name
		}
		if key, _ := m.Pitch.Key(); key != c.Key {
			return "another key is heard than was meant"
		}
	}
	return ""
}
