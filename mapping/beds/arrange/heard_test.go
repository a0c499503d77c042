package arrange

import (
	"math"
	"slices"
	"testing"

	"lapstrake/mapping/sound"
)

// bandsOf makes blocks of 0.1 s in which the given bands have the given powers.
func bandsOf(blocks int, powers map[int]float64) Bands {
	b := Bands{BlockSec: 0.1, Blocks: make([][erbBands]float64, blocks)}
	for k := range b.Blocks {
		for band, p := range powers {
			b.Blocks[k][band] = p
		}
	}
	return b
}

func TestAudibleOnConstructedCases(t *testing.T) {
	const same = 1.0
	masked, above := sound.DBToPower(-6.1), sound.DBToPower(-5.9)
	half := bandsOf(10, nil)
	for k := range 5 {
		half.Blocks[k][12] = same
	}
	for _, c := range []struct {
		name  string
		parts []Bands
		want  []float64 // seconds audible
	}{
		{"alone", []Bands{bandsOf(10, map[int]float64{3: 1e-6})}, []float64{1}},
		{"two alike", []Bands{bandsOf(10, map[int]float64{3: same}), bandsOf(10, map[int]float64{3: same})},
			[]float64{1, 1}},
		{"6.1 dB under", []Bands{bandsOf(10, map[int]float64{3: same}), bandsOf(10, map[int]float64{3: masked})},
			[]float64{1, 0}},
		{"5.9 dB under", []Bands{bandsOf(10, map[int]float64{3: same}), bandsOf(10, map[int]float64{3: above})},
			[]float64{1, 1}},
		{"soft in a band of its own", []Bands{bandsOf(10, map[int]float64{3: same}),
			bandsOf(10, map[int]float64{3: masked, 20: 1e-3})}, []float64{1, 1}},
		{"below the floor in a band of its own", []Bands{bandsOf(10, map[int]float64{3: same}),
			bandsOf(10, map[int]float64{3: masked, 20: 1e-6})}, []float64{1, 0}},
		{"half the time", []Bands{bandsOf(10, map[int]float64{3: same}), half}, []float64{1, 0.5}},
		// Each of five alike is 6.02 dB under the four others together; each of four 4.77 dB under three.
		{"five alike", slices.Repeat([]Bands{bandsOf(10, map[int]float64{7: same})}, 5), []float64{0, 0, 0, 0, 0}},
		{"four alike", slices.Repeat([]Bands{bandsOf(10, map[int]float64{7: same})}, 4), []float64{1, 1, 1, 1}},
		{"silent", []Bands{bandsOf(10, nil), bandsOf(10, map[int]float64{3: same})}, []float64{0, 1}},
	} {
		for i, h := range Audible(c.parts) {
			if math.Abs(h.AudibleSec-c.want[i]) > 1e-9 {
				t.Errorf("%s: part %d audible for %.2f s, want %.2f", c.name, i, h.AudibleSec, c.want[i])
			}
		}
	}
}

// What is 9 dB softer than its like, or 30 dB below another, is buried.
func TestBuried(t *testing.T) {
	loud := bandsOf(50, map[int]float64{5: 1, 9: 1})
	soft := bandsOf(50, map[int]float64{5: sound.DBToPower(-9)})
	lost := bandsOf(50, map[int]float64{9: sound.DBToPower(-30)})
	if h := Audible([]Bands{loud, soft, lost}); h[0].Buried() || !h[1].Buried() || !h[2].Buried() {
		t.Errorf("buried: %v %v %v, want all but the first", h[0].Buried(), h[1].Buried(), h[2].Buried())
	}
}

// A sine's power falls into the band of its frequency, at its own level, however it is panned.
func TestBandsOfASine(t *testing.T) {
	for _, rateHz := range []int{8000, 44100, 48000, 96000} {
		b := newBander(rateHz)
		for _, hz := range []float64{100, 440, 1000, 3000} {
			for _, pan := range []float64{-1, -0.3, 0, 0.8} {
				mono := make([]float32, rateHz)
				for i := range mono {
					mono[i] = float32(0.5 * math.Sin(2*math.Pi*hz*float64(i)/float64(rateHz)))
				}
				var s stem
				s.resize(rateHz)
				s.clear()
				s.place(stem{mono, mono}, 0, placeAt(pan, 1), nil)
				bands := b.measure(&s, rateHz)
				row := bands.Blocks[5]
				most, sum := 0, 0.0
				for band, p := range row {
					sum += p
					if p > row[most] {
						most = band
					}
				}
				if math.Abs(sound.PowerDB(sum/0.125)) > 0.1 {
					t.Errorf("%d Hz rate, %.0f Hz at %.1f: %.2f dB off its power", rateHz, hz, pan,
						sound.PowerDB(sum/0.125))
				}
				if low, high := sound.ERBHz(float64(erbFirst+most)),
					sound.ERBHz(float64(erbFirst+most+1)); hz < low*0.8 || hz > high*1.2 {
					t.Errorf("%d Hz rate, %.0f Hz at %.1f: found in the band %.0f to %.0f Hz", rateHz,
						hz, pan, low, high)
				}
			}
		}
	}
}

// Glasberg & Moore 1990: the bandwidth at F is 24.7·(4.37·F/1000 + 1) Hz, 132.6 Hz at 1 kHz.
func TestBandsAreOneERBWide(t *testing.T) {
	for band := range erbBands {
		low, high := sound.ERBHz(float64(erbFirst+band)), sound.ERBHz(float64(erbFirst+band+1))
		want := 24.7 * (4.37*BandHz(band)/1000 + 1)
		if math.Abs((high-low)/want-1) > 0.01 {
			t.Errorf("band at %.0f Hz is %.1f Hz wide, want %.1f", BandHz(band), high-low, want)
		}
	}
}
