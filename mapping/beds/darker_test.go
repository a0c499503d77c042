// Loud is brighter than soft, whatever takes the builder gives the layers, as far as the settings allow.

package beds

import (
	"math"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes"
)

// organ is a held sound of key 57 or an octave above, whose partials fall by so many dB with each octave.
func organ(hz, fallDB float64) []byte {
	const rateHz, sec = 16000, 4.0
	samples := make([]float32, int(sec*rateHz))
	for i := range samples {
		at := float64(i) / rateHz
		for k := 1.0; k*hz < 7000; k++ {
			level := sound.DBToAmplitude(-20 - fallDB*math.Log2(k))
			samples[i] += float32(min(1, 20*at, 20*(sec-at)) * level * math.Sin(2*math.Pi*hz*k*at+k*k))
		}
	}
	return wavOf(1, rateHz, samples)
}

// twisted is a project whose builder says soft of the brighter takes and loud of the darker ones.
func twisted(t *testing.T, mostDB float64) yard {
	settings := shortBeds()
	settings.Conform.DarkenMostDB = mostDB
	p := newProject(t, settings)
	for take, data := range map[string][]byte{
		"soft/1.wav": organ(220, 6), "soft/2.wav": organ(440, 6),
		"loud/1.wav": organ(220, 8.5), "loud/2.wav": organ(440, 8.5),
	} {
		p.put(take, data)
	}
	p.intake()
	for _, take := range []string{"soft/1.wav", "soft/2.wav", "loud/1.wav", "loud/2.wav"} {
		p.edit(take, func(row *takes.Row) { row.Layer = take[:4] })
	}
	return p
}

// centre is how bright the cycle of a layer on a root is, by one spectrum of its beds each.
func (p yard) centre(layer string, root int) float64 {
	var bands []float64
	for _, strand := range []string{"a", "b"} {
		left, right, rateHz := p.bed(mapping.BedName{Layer: layer, Strand: strand, Root: root})
		channels := make([][]float64, 2)
		for i := range left {
			channels[0], channels[1] = append(channels[0], float64(left[i])), append(channels[1], float64(right[i]))
		}
		size := 1 << 15
		for bin, power := range sound.PaddedPower(channels, size) {
			band := int(sound.ERBNumber(float64(bin) * float64(rateHz) / float64(size)))
			for len(bands) <= band {
				bands = append(bands, 0)
			}
			bands[band] += power
		}
	}
	return sound.CentreERB(bands, 1)
}

// Played harder, instruments are brighter (Risset & Mathews 1969): where soft takes would be no darker than loud ones,
// their beds are darkened, and the report says by how much.
func TestLoudIsBrighterThanSoft(t *testing.T) {
	left, darkened := twisted(t, 0), twisted(t, 6)
	if report := left.build(); len(report.Darkened) > 0 {
		t.Errorf("darkened although the settings say 0: %v", report.Darkened)
	}
	report := darkened.build()
	for _, root := range []int{60, 72} {
		if by := left.centre("soft", root) - left.centre("loud", root); by < 0.2 {
			t.Fatalf("root %d: soft is brighter by %.2f ERB as the takes are: that tells nothing", root, by)
		}
		by := darkened.centre("loud", root) - darkened.centre("soft", root)
		t.Logf("root %d: loud brighter by %.2f ERB", root, by)
		if by < 0.3 || by > 2 {
			t.Errorf("root %d: loud is brighter by %.2f ERB, want about %.1f", root, by, darkerERB)
		}
	}
	if len(report.Darkened) != 4 || slices.ContainsFunc(report.Darkened, func(line string) bool {
		return !strings.HasPrefix(line, "soft-") || !strings.HasSuffix(line, " dB an octave")
	}) {
		t.Errorf("report: %q", report.Darkened)
	}
}

// A change to a loud take changes no soft bed, however much that was darkened; without the record, and after a build
// that was ended before it had looked at all beds, the same beds are made.
func TestDarkenedBedsStay(t *testing.T) {
	p := twisted(t, 6)
	first := p.build()
	want := p.beds()
	p.edit("loud/1.wav", func(row *takes.Row) { row.KeepPartials = 2 })
	if got, with := namesOf(p.build().Built), bedsWith(first, "loud/1.wav"); !slices.Equal(got, with) {
		t.Errorf("loud take changed: built %v, want %v", got, with)
	}
	p.edit("loud/1.wav", func(row *takes.Row) { row.KeepPartials = 0 })
	p.build()
	sameBytes(t, "taken back", p.beds(), want)

	other := p.copied()
	other.build()
	sameBytes(t, "in another folder", other.beds(), want)

	record, err := readRecord(other.path(project.BedsFolder, project.BuiltFile))
	if err != nil {
		t.Fatal(err)
	}
	for name := range record.Companies {
		for i := range record.Companies[name] {
			record.Companies[name][i].DarkerDB = nil
		}
	}
	if err := record.save(); err != nil {
		t.Fatal(err)
	}
	other.build()
	sameBytes(t, "ended before", other.beds(), want)
}
