// What a finished bed must be: even, steady, unlike the others, in tune, cut out of the middle of something.
package boatyard

import (
	"math"
	"slices"
	"sync"
	"testing"
)

const (
	bedRateHz  = 16000
	bedSeconds = 3.0
)

type bedName struct {
	layer, strand string
	root          int
}

// allBeds renders the beds of the usual grid once, on two goroutines as the demo does.
var allBeds = sync.OnceValue(func() map[bedName][]float32 {
	var names []bedName
	for _, layer := range []string{"soft", "loud"} {
		for _, strand := range []string{"a", "b"} {
			for root := 24; root <= 114; root += 6 {
				names = append(names, bedName{layer, strand, root})
			}
		}
	}
	rendered := make([][]float32, len(names))
	var both sync.WaitGroup
	for half := range 2 {
		both.Go(func() {
			for i := half; i < len(names); i += 2 {
				rendered[i] = Bed(names[i].layer, names[i].strand, names[i].root, bedSeconds, bedRateHz)
			}
		})
	}
	both.Wait()
	beds := map[bedName][]float32{}
	for i, name := range names {
		beds[name] = rendered[i]
	}
	return beds
})

func TestBedsAreEvenAndSteady(t *testing.T) {
	t.Parallel()
	for name, bed := range allBeds() {
		target := -26.0
		if name.layer == "loud" {
			target = -20
		}
		s := apart(bed)
		if len(s.left) != int(bedSeconds*bedRateHz) {
			t.Fatalf("%v has %d frames", name, len(s.left))
		}
		if heard := inDB(s.heard(bedRateHz)); math.Abs(heard-target) > 0.5 {
			t.Errorf("%v: %.2f dBFS as heard, want %.0f", name, heard, target)
		}
		tenths := s.heardPowers(bedRateHz/10, bedRateHz)
		for i := 0; i+10 <= len(tenths); i++ {
			second := 0.0
			for _, p := range tenths[i : i+10] {
				second += p / 10
			}
			if level := 10 * math.Log10(second); math.Abs(level-target) > 2 {
				t.Errorf("%v: %.2f dBFS in the second from %.1f s, want %.0f ±2", name, level, float64(i)/10, target)
			}
		}
		if plain := inDB(math.Hypot(rms(s.left), rms(s.right)) / math.Sqrt2); math.Abs(plain-target) > 4.5 {
			t.Errorf("%v: %.2f dBFS plain RMS, want about %.0f", name, plain, target)
		}
		if top := inDB(max(highest(s.left), highest(s.right))); top > -3 {
			t.Errorf("%v peaks at %.2f dBFS", name, top)
		}
		if lean := inDB(rms(s.left) / rms(s.right)); math.Abs(lean) > 4 {
			t.Errorf("%v leans to one side by %.1f dB", name, lean)
		}
		for _, side := range [][]float64{s.left, s.right} {
			mean := 0.0
			for _, v := range side {
				mean += v / float64(len(side))
			}
			if !(inDB(math.Abs(mean)) < -60) { // also not a number
				t.Errorf("%v: offset of %.1f dBFS", name, inDB(math.Abs(mean)))
			}
		}
	}
}

// The first and last second of a bed are crossfaded with other beds: they must be as full as the rest.
func TestBedsBeginAndEndMidSound(t *testing.T) {
	t.Parallel()
	for name, bed := range allBeds() {
		s := apart(bed)
		end := len(s.left)
		for _, edge := range []*stereo{s.part(0, bedRateHz/5), s.part(end-bedRateHz/5, end)} {
			level := math.Hypot(rms(edge.left), rms(edge.right)) / math.Hypot(rms(s.left), rms(s.right))
			if math.Abs(inDB(level)) > 6 {
				t.Errorf("%v: an end is %+.1f dB beside the whole", name, inDB(level))
			}
		}
	}
}

func TestBedsAreInTune(t *testing.T) {
	t.Parallel()
	sums := map[string]float64{}
	for name, bed := range allBeds() {
		if name.root < 48 { // below, ten periods are too long for three seconds
			continue
		}
		sums[name.layer+" "+name.strand] += centsOff(bed, name.root, bedRateHz, 0, bedSeconds) / 12
	}
	for strand, mean := range sums {
		if math.Abs(mean) > 1 {
			t.Errorf("%s: %+.2f cents off on average over the keyboard", strand, mean)
		}
	}
}

// Beds of one root meet in crossfades that reckon with unrelated signals; alike ones would swell or sink there.
func TestBedsOfOneRootAreUnrelated(t *testing.T) {
	t.Parallel()
	pairs := [][4]string{
		{"soft", "a", "soft", "b"}, {"loud", "a", "loud", "b"}, {"soft", "a", "loud", "a"},
		{"soft", "b", "loud", "b"}, {"soft", "a", "loud", "b"}, {"soft", "b", "loud", "a"},
	}
	var sum float64
	var count, high int
	for root := 24; root <= 114; root += 6 {
		for _, p := range pairs {
			x, y := allBeds()[bedName{p[0], p[1], root}], allBeds()[bedName{p[2], p[3], root}]
			for at := 0; at+2*bedRateHz <= len(x); at += 2 * bedRateHz {
				rho := math.Abs(correlation(x[at:at+2*bedRateHz], y[at:at+2*bedRateHz]))
				sum += rho
				count++
				if rho > 0.2 {
					high++
				}
				if rho > 0.75 {
					t.Errorf("%v at root %d: correlation %.2f over a second", p, root, rho)
				}
			}
		}
	}
	mean, share := sum/float64(count), float64(high)/float64(count)
	t.Logf("mean |rho| %.3f; above 0.2 in %.0f %% of the seconds", mean, 100*share)
	if mean > 0.16 || share > 0.3 {
		t.Errorf("mean |rho| over a second is %.3f, above 0.2 in %.0f %%", mean, 100*share)
	}
}

func correlation(x, y []float32) float64 {
	var xy, xx, yy float64
	for i := range x {
		a, b := float64(x[i]), float64(y[i])
		xy, xx, yy = xy+a*b, xx+a*a, yy+b*b
	}
	return xy / math.Sqrt(xx*yy)
}

func TestBedsRepeatExactly(t *testing.T) {
	t.Parallel()
	for _, name := range []bedName{{"soft", "a", 60}, {"loud", "b", 36}} {
		again := Bed(name.layer, name.strand, name.root, bedSeconds, bedRateHz)
		if !slices.Equal(again, allBeds()[name]) {
			t.Errorf("%v: the same arguments gave other samples", name)
		}
	}
}

func TestEveryoneIsHeardAtSomeRoot(t *testing.T) {
	t.Parallel()
	heard := map[string]bool{}
	for name := range allBeds() {
		makers := chosen(name.layer, name.strand, name.root)
		held := 0
		for _, m := range makers {
			heard[m.Title] = true
			if m.Kind == Held {
				held++
			}
		}
		if len(makers) < 4 || len(makers) > 8 || held < 3 {
			t.Errorf("%v has %d makers, %d of them held", name, len(makers), held)
		}
	}
	for _, m := range Makers() {
		if !heard[m.Title] {
			t.Errorf("%s is in no bed", m.Title)
		}
	}
}

func TestBedRefusesWhatItCannotMake(t *testing.T) {
	t.Parallel()
	for name, bed := range map[string][]float32{
		"no such layer":  Bed("medium", "a", 60, 1, bedRateHz),
		"no such strand": Bed("soft", "", 60, 1, bedRateHz),
		"no length":      Bed("soft", "a", 60, 0, bedRateHz),
		"no rate":        Bed("soft", "a", 60, 1, 0),
	} {
		if bed != nil {
			t.Errorf("%s: got %d samples, want nil", name, len(bed))
		}
	}
}

// ITU-R BS.1770-5, annex 1, tables 1 and 2: the coefficients of both filters at 48 kHz.
func TestKFilterIsTheStandardsAt48kHz(t *testing.T) {
	t.Parallel()
	shelf, cut := kFilter(48000)
	want := []float64{
		1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585,
		1, -2, 1, -1.99004745483398, 0.99007225036621,
	}
	got := []float64{shelf.b0, shelf.b1, shelf.b2, shelf.a1, shelf.a2, cut.b0, cut.b1, cut.b2, cut.a1, cut.a2}
	for i := range want {
		if math.Abs(got[i]-want[i]) > 1e-7 {
			t.Errorf("coefficient %d is %.12f, want %.12f", i, got[i], want[i])
		}
	}
}

// BenchmarkBed tells how many seconds of bed are made in one second on one core.
func BenchmarkBed(b *testing.B) {
	const seconds = 15.0
	roots := []int{24, 42, 60, 78, 96, 114}
	i := 0
	for b.Loop() {
		Bed([]string{"soft", "loud"}[i%2], []string{"a", "b"}[i/2%2], roots[i%len(roots)], seconds, 48000)
		i++
	}
	b.ReportMetric(seconds*float64(b.N)/b.Elapsed().Seconds(), "bed-s/s")
}
