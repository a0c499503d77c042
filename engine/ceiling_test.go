// Checks the ceiling with meters of its own: the standard's filter written out in full, and a finer one.

package engine

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

const testRateHz = 48000

// ITU-R BS.1770-5, annex 2: the filter of order 48 for fourfold oversampling, phase by phase.
var standardPhases = [4][12]float64{
	{0.0017089843750, 0.0109863281250, -0.0196533203125, 0.0332031250000, -0.0594482421875, 0.1373291015625,
		0.9721679687500, -0.1022949218750, 0.0476074218750, -0.0266113281250, 0.0148925781250, -0.0083007812500},
	{-0.0291748046875, 0.0292968750000, -0.0517578125000, 0.0891113281250, -0.1665039062500, 0.4650878906250,
		0.7797851562500, -0.2003173828125, 0.1015625000000, -0.0582275390625, 0.0330810546875, -0.0189208984375},
	{-0.0189208984375, 0.0330810546875, -0.0582275390625, 0.1015625000000, -0.2003173828125, 0.7797851562500,
		0.4650878906250, -0.1665039062500, 0.0891113281250, -0.0517578125000, 0.0292968750000, -0.0291748046875},
	{-0.0083007812500, 0.0148925781250, -0.0266113281250, 0.0476074218750, -0.1022949218750, 0.9721679687500,
		0.1373291015625, -0.0594482421875, 0.0332031250000, -0.0196533203125, 0.0109863281250, 0.0017089843750},
}

// fineFilter interpolates eight points a frame by a windowed sinc of 96 taps (Kaiser window, β = 9; Oppenheim &
// Schafer, Discrete-Time Signal Processing, on the Kaiser window): flat to 0.001 dB up to 22 kHz at 48 kHz.
var fineFilter = func() (phases [8][96]float64) {
	bessel := func(x float64) float64 {
		sum, term := 1.0, 1.0
		for k := 1.0; k < 60; k++ {
			term *= x / 2 / k
			sum += term * term
		}
		return sum
	}
	for p := range phases {
		for k := range phases[p] {
			x := float64(k-47) - float64(p)/8
			if r := x / 48; math.Abs(r) < 1 {
				phases[p][k] = bessel(9*math.Sqrt(1-r*r)) / bessel(9)
			}
			if x != 0 {
				phases[p][k] *= math.Sin(math.Pi*x) / (math.Pi * x)
			}
		}
	}
	return phases
}()

// truePeakDB measures interleaved stereo with any filter of phases × taps, newest tap last or first alike
// for a filter whose phases mirror each other.
func truePeakDB[T [12]float64 | [96]float64](stereo []float32, phases []T) float64 {
	peak := 0.0
	for _, x := range stereo {
		peak = max(peak, math.Abs(float64(x)))
	}
	taps := len(phases[0])
	for first := 0; first+2*taps <= len(stereo); first++ {
		for p := range phases {
			sum := 0.0
			for k := range taps {
				sum += phases[p][k] * float64(stereo[first+2*k])
			}
			peak = max(peak, math.Abs(sum))
		}
	}
	return 20 * math.Log10(peak)
}

func stereoOf(frames int, at func(frame int) (left, right float64)) []float32 {
	stereo := make([]float32, 2*frames)
	for i := range frames {
		left, right := at(i)
		stereo[2*i], stereo[2*i+1] = float32(left), float32(right)
	}
	return stereo
}

// sineOf fades in over 400 frames: begun at once a sine would be a step as well.
func sineOf(frames int, freqHz, turns, level float64) []float32 {
	return stereoOf(frames, func(i int) (float64, float64) {
		x := level * math.Sin(2*math.Pi*(freqHz*float64(i)/testRateHz+turns))
		x *= 0.5 - 0.5*math.Cos(math.Pi*float64(min(i, 400))/400)
		return x, -0.5 * x
	})
}

func throughCeiling(stereo []float32, ceilingDBTP float64) []float32 {
	out := slices.Clone(stereo)
	NewCeiling(testRateHz, ceilingDBTP).Process(out)
	return out
}

// Sines of every frequency and phase stay at or under −1 dBTP by a meter twice as fine. EBU Tech 3341
// lets a true-peak meter read 0.4 dB low; 0.01 dB is enough.
func TestCeilingHoldsSines(t *testing.T) {
	for freqHz := 30.0; freqHz <= 20000; freqHz *= 1.6 {
		for _, overDB := range []float64{0.5, 6, 24} {
			for turns := 0.0; turns < 1; turns += 0.27 {
				out := throughCeiling(sineOf(1200, freqHz, turns, math.Pow(10, overDB/20)), -1)
				if got := truePeakDB(out, fineFilter[:]); got > -1+0.01 {
					t.Errorf("%.0f Hz at %v dB, phase %.2f: %.3f dBTP", freqHz, overDB, turns, got)
				}
			}
		}
	}
}

// By the standard's own measurement nothing exceeds −1 dBTP; 0.001 dB is for what changing the gain adds. By the finer
// meter what has been through a converter's filter, and so ends at 20 kHz, stays within the 0.4 dB of EBU
// Tech 3341. Sounds made in the computer that reach to half the sampling rate can stand
// higher between the points of the standard: its twelve taps do not see them.
func TestCeilingHoldsEverything(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	noise := stereoOf(12000, func(int) (float64, float64) { return random.NormFloat64(), random.NormFloat64() })
	chirp := stereoOf(12000, func(i int) (float64, float64) {
		at := float64(i) / 12000
		x := 4 * math.Sin(2*math.Pi*10000*at*float64(i)/testRateHz) // 0 to 20 kHz
		return x, 0.3 * x
	})
	clicks := stereoOf(12000, func(i int) (float64, float64) {
		switch {
		case i%1000 == 500:
			return 16, 0
		case i%1000 == 501:
			return 16, -3
		case i%37 == 0:
			return 0.8, 1.1
		}
		return 0, 0.001
	})
	steps := stereoOf(12000, func(i int) (float64, float64) {
		return 2 * float64(i/50%3-1), []float64{0.1, -16, 16, 0.5}[i/777%4]
	})
	bursts := stereoOf(12000, func(i int) (float64, float64) {
		x := math.Sin(float64(i) * 0.9)
		return x * []float64{0.2, 15.8, 0.5, 3}[i/400%4], x
	})
	for name, c := range map[string]struct {
		signal   []float32
		fineOver float64
	}{
		"noise to 20 kHz, +6 dB":    {lowpass20kHz(scaled(noise, 2)), 0.4},
		"noise to 20 kHz, +24 dB":   {lowpass20kHz(scaled(noise, 16)), 0.4},
		"clicks to 20 kHz":          {lowpass20kHz(clicks), 0.4},
		"steps to 20 kHz":           {lowpass20kHz(steps), 0.4},
		"bursts to 20 kHz":          {lowpass20kHz(bursts), 0.4},
		"chirp":                     {chirp, 0.4},
		"clicks to half the rate":   {clicks, 0.7},
		"steps to half the rate":    {steps, 0.7},
		"noise to half the rate":    {noise, 1.5},
		"noise of +24 dB, the same": {scaled(noise, 16), 1.5},
	} {
		out := throughCeiling(c.signal, -1)
		if got := truePeakDB(out, standardPhases[:]); got > -1+0.001 {
			t.Errorf("%s: %.4f dBTP by the standard", name, got)
		}
		if got := truePeakDB(out, fineFilter[:]); got > -1+c.fineOver {
			t.Errorf("%s: %.3f dBTP by the finer meter", name, got)
		}
		if got := truePeakDB(c.signal, standardPhases[:]); got < 0 {
			t.Errorf("%s: only %.1f dBTP before the ceiling", name, got)
		}
	}
}

func scaled(stereo []float32, factor float32) []float32 {
	out := make([]float32, len(stereo))
	for i, x := range stereo {
		out[i] = factor * x
	}
	return out
}

// lowpass20kHz ends the spectrum where a converter's filter does: windowed sinc, −6 dB at 20 kHz.
func lowpass20kHz(stereo []float32) []float32 {
	const half, cut = 100, 20000.0 / (testRateHz / 2)
	out := make([]float32, len(stereo))
	for i := 2 * half; i < len(stereo)-2*half; i++ {
		sum := 0.0
		for k := -half; k <= half; k++ {
			tap := cut
			if k != 0 {
				tap = math.Sin(math.Pi*cut*float64(k)) / (math.Pi * float64(k))
			}
			hann := 0.5 + 0.5*math.Cos(math.Pi*float64(k)/(half+1))
			sum += tap * hann * float64(stereo[i+2*k])
		}
		out[i] = float32(sum)
	}
	return out
}

// The reduction tells how high the ceiling takes a peak to be. The sines of EBU Tech 3341, true-peak tests 15 to 19
// (values from memory), whose samples miss their peaks, read within +0.2 and −0.4 dB.
func TestCeilingReadsTruePeaks(t *testing.T) {
	for _, c := range []struct {
		partOfRate, degrees, level, wantDBTP float64
	}{
		{4, 0, 0.5, -6}, {4, 45, 0.5, -6}, {6, 60, 0.5, -6}, {8, 67.5, 0.5, -6}, {4, 45, 1.41, 3},
	} {
		ceiling := NewCeiling(testRateHz, -20)
		ceiling.Process(sineOf(4000, testRateHz/c.partOfRate, c.degrees/360, c.level))
		if got := ceiling.TakeReductionDB() - 20; got < c.wantDBTP-0.4 || got > c.wantDBTP+0.2 {
			t.Errorf("rate/%v at %v°: %.2f dBTP, want %v +0.2 −0.4", c.partOfRate, c.degrees, got, c.wantDBTP)
		}
	}
}

// What stays at or below the ceiling comes out as it went in, bit for bit, Latency frames later.
func TestCeilingLeavesQuietSignalsAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := make([]float32, 2*rapid.IntRange(1, 3000).Draw(t, "frames"))
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		for i := range in {
			in[i] = float32(random.NormFloat64())
		}
		levelDBTP := rapid.SampledFrom([]float64{-1.0001, -3, -8, -60, -700}).Draw(t, "level")
		padded := slices.Concat(make([]float32, 24), in, make([]float32, 24)) // a peak may stand before or after it
		in = scaled(in, float32(math.Pow(10, (levelDBTP-truePeakDB(padded, standardPhases[:]))/20)))
		ceiling := NewCeiling(testRateHz, -1)
		out := append(slices.Clone(in), make([]float32, 2*ceiling.Latency())...)
		ceiling.Process(out)
		if !slices.Equal(out[2*ceiling.Latency():], in) || ceiling.MostReductionDB() != 0 {
			t.Fatalf("changed by %v dB", ceiling.MostReductionDB())
		}
	})
}

func TestCeilingLatency(t *testing.T) {
	for rateHz, want := range map[int]int{44100: 76, 48000: 82, 96000: 154, 192000: 298} {
		ceiling := NewCeiling(rateHz, -1)
		block := make([]float32, 2000)
		block[0], block[1] = 0.25, -0.5
		ceiling.Process(block)
		if at := slices.Index(block, 0.25); at != 2*want || block[at+1] != -0.5 || ceiling.Latency() != want {
			t.Errorf("%d Hz: a click comes out after %d frames, Latency %d, want %d", rateHz, at/2,
				ceiling.Latency(), want)
		}
	}
}

func TestCeilingIgnoresBlockLengths(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	signal := stereoOf(20000, func(i int) (float64, float64) {
		loud := []float64{0.2, 5, 0.4, 0.9}[i/1500%4]
		return loud * random.NormFloat64(), loud * math.Sin(float64(i))
	})
	want := throughCeiling(signal, -1)
	rapid.Check(t, func(t *rapid.T) {
		got := slices.Clone(signal)
		ceiling := NewCeiling(testRateHz, -1)
		for rest := got; len(rest) > 0; {
			frames := min(len(rest)/2, rapid.OneOf(rapid.IntRange(0, 3), rapid.IntRange(60, 9000)).Draw(t, "frames"))
			ceiling.Process(rest[:2*frames])
			rest = rest[2*frames:]
		}
		if !slices.Equal(got, want) {
			t.Fatal("the samples depend on the block lengths")
		}
	})
}

// Not looking between samples that are too low to matter changes nothing, not even where every sample has the sign of
// the tap it meets.
func TestCeilingLooksWhereItMatters(t *testing.T) {
	signal := stereoOf(30000, func(i int) (float64, float64) {
		loud := 0.6 * math.Sin(float64(i)/5000)
		return math.Copysign(loud, standardPhases[1][i%12]), loud * math.Sin(float64(i)/7)
	})
	want := slices.Clone(signal)
	always := NewCeiling(testRateHz, -1)
	always.safe = -1
	always.Process(want)
	if !slices.Equal(throughCeiling(signal, -1), want) {
		t.Error("looking at every frame gives other samples")
	}
}

// The gain is the one that the slow, obvious way gives: every phase of the filter at every frame, the least over the
// hold, the exponential release, the two running means, all in floating point.
func TestCeilingEqualsTheObviousWay(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	signal := stereoOf(12000, func(i int) (float64, float64) {
		loud := []float64{0.1, 3, 0.3, 0.5, 0.12}[i/700%5]
		return loud * random.NormFloat64(), 0.2 * loud * random.NormFloat64()
	})
	got := throughCeiling(signal, -1)
	ceiling := math.Pow(10, -1.0/20)
	const half, hold = 36, 83
	needed, held, first := make([]float64, 12000), make([]float64, 12000), make([]float64, 12000)
	before := func(values []float64, i int) float64 {
		if i < 0 {
			return 1
		}
		return values[i]
	}
	mean := func(values []float64, i, length int) (sum float64) {
		for k := range length {
			sum += before(values, i-k) / float64(length)
		}
		return sum
	}
	for i := range needed {
		peak := 0.0
		for channel := range 2 {
			peak = max(peak, math.Abs(float64(signal[2*i+channel])))
			for _, phase := range standardPhases {
				sum := 0.0
				for k := 0; k < 12 && k <= i; k++ {
					sum += phase[k] * float64(signal[2*(i-k)+channel])
				}
				peak = max(peak, math.Abs(sum))
			}
		}
		needed[i] = min(1, ceiling/peak)
		last := before(held, i-1)
		held[i] = last + (1-last)*(1-math.Exp(-1/(0.2*testRateHz)))
		for k := range hold {
			held[i] = min(held[i], before(needed, i-k))
		}
		first[i] = mean(held, i, half)
		if from := i - 82; from >= 0 {
			want := float64(signal[2*from]) * mean(first, i, half+1)
			if math.Abs(float64(got[2*i])-want) > 2e-6 {
				t.Fatalf("frame %d: %v, want %v", i, got[2*i], want)
			}
		}
	}
}

// A steady right channel shows the gain that a burst on the left brings: both channels get the same, it moves by no
// more than the part of the attack that a frame is, it is down when the burst comes, and comes back by 1−1/e in 200
// ms.
func TestCeilingGainMovesGently(t *testing.T) {
	const pilot, burstAt, burstFrames = 1.0 / 1024, 1000, 480
	out := throughCeiling(stereoOf(40000, func(i int) (float64, float64) {
		if i >= burstAt && i < burstAt+burstFrames {
			return 8 * math.Sin(float64(i)), pilot
		}
		return pilot, pilot
	}), -1)[2*82:]
	gain := func(frame int) float64 { return float64(out[2*frame+1]) / pilot }
	for i := 1; i < len(out)/2; i++ {
		if move := gain(i) - gain(i-1); math.Abs(move) > 1.0/36 {
			t.Fatalf("frame %d: the gain moves by %v", i, move)
		}
		if i < burstAt && gain(i) > gain(i-1) || i > burstAt+burstFrames+12 && gain(i) < gain(i-1) {
			t.Fatalf("frame %d: the gain moves from %v to %v, away from where it has to go", i, gain(i-1), gain(i))
		}
	}
	if early := gain(burstAt - 100); early != 1 {
		t.Errorf("the gain is %v 100 frames before the burst, want 1", early)
	}
	least := gain(burstAt)
	if want := math.Pow(10, -1.0/20) / 8; math.Abs(least-want) > 0.03*want {
		t.Errorf("the gain is %v when the burst comes, want %v", least, want)
	}
	end := burstAt + burstFrames
	if missing, want := (1-gain(end+9600))/(1-least), 1/math.E; math.Abs(missing-want) > 0.01 {
		t.Errorf("200 ms after the burst %v of the reduction is left, want %v", missing, want)
	}
}

// A quiet passage after a loud one is bit-exact again once the release is over.
func TestCeilingComesBackToExactlyOne(t *testing.T) {
	signal := sineOf(6*testRateHz, 440, 0, 0.3)
	for i := range 2 * 2000 {
		signal[i] *= 50
	}
	out := throughCeiling(signal, -1)
	const second4 = 2 * 4 * testRateHz
	if !slices.Equal(out[second4+2*82:], signal[second4:len(signal)-2*82]) {
		t.Error("four seconds after an over of 24 dB the signal still differs")
	}
}

// What is no sample is silence, and leaves nothing behind.
func TestCeilingSurvivesNonsense(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat32} {
		signal := sineOf(2000, 440, 0, 0.3)
		want := slices.Clone(signal)
		signal[1000], signal[1003] = float32(bad), float32(bad)
		want[1000], want[1003] = 0, 0
		if out := throughCeiling(signal, -1); !slices.Equal(out[2*82:], want[:len(want)-2*82]) {
			t.Errorf("%v changes more than its own sample", bad)
		}
	}
	out := throughCeiling(stereoOf(2000, func(i int) (float64, float64) {
		return 9e29 * math.Sin(float64(i)), 9e29 * math.Cos(float64(i)*math.Pi)
	}), -1)
	if got := truePeakDB(out, standardPhases[:]); !(got <= -1+0.001) {
		t.Errorf("samples of 9·10²⁹ come out at %v dBTP", got)
	}
}

func TestCeilingTellsItsReduction(t *testing.T) {
	ceiling := NewCeiling(testRateHz, -1)
	if got := ceiling.TakeReductionDB(); got != 0 {
		t.Errorf("%v dB before the first block, want 0", got)
	}
	want := 20*math.Log10(2) + 1
	ceiling.Process(sineOf(4000, 100, 0, 2))
	ceiling.Process(make([]float32, 2*48000)) // by its end the gain has come back
	if got := ceiling.TakeReductionDB(); math.Abs(got-want) > 0.05 {
		t.Errorf("a sine of +6.02 dBFS was reduced by %v dB, want %v", got, want)
	}
	ceiling.Process(make([]float32, 2*48000*3))
	ceiling.TakeReductionDB()
	ceiling.Process(make([]float32, 2*64))
	if got := ceiling.TakeReductionDB(); got != 0 {
		t.Errorf("%v dB taken off silence, want 0", got)
	}
	if got := ceiling.MostReductionDB(); math.Abs(got-want) > 0.05 {
		t.Errorf("%v dB since the start, want %v", got, want)
	}
}

func TestCeilingAllocatesNothing(t *testing.T) {
	ceiling := NewCeiling(testRateHz, -1)
	block := make([]float32, 2*512)
	if n := testing.AllocsPerRun(100, func() {
		copy(block, sineOf512)
		ceiling.Process(block)
	}); n != 0 {
		t.Errorf("%v allocations a block, want 0", n)
	}
}

var sineOf512 = sineOf(512, 440, 0, 3)

// One run gives the cost of each path a frame, so that they can be compared.
func BenchmarkCeiling(b *testing.B) {
	for _, c := range []struct {
		name  string
		level float64
	}{{"quiet", 0.3}, {"looked at, below the ceiling", 0.6}, {"limiting", 4}} {
		b.Run(fmt.Sprintf("%s/64 frames", c.name), func(b *testing.B) {
			signal := sineOf(testRateHz, 313, 0, c.level)
			block := make([]float32, 2*64)
			ceiling := NewCeiling(testRateHz, -1)
			at := 0
			for b.Loop() {
				copy(block, signal[at:])
				if at += len(block); at+len(block) > len(signal) {
					at = 0
				}
				ceiling.Process(block)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*64), "ns/frame")
		})
	}
}
