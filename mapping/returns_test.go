// Checks when a chord comes back against continued fractions and against exact fractions.

package mapping

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

const dayHorizonSec = 86400

// A bed pair of 15 s with 1 s of overlap lasts 28 s at its root and 28·2^(n/12) s n semitones below.
func heardSec(semitonesDown int) float64 { return 28 * math.Exp2(float64(semitonesDown)/12) }

// One key over two ranks six semitones apart sounds two cycles in the ratio √2. They meet to within
// ε when |q − p√2| ≤ ε(1+√2) for q turns of the shorter and p of the longer. No p below the next
// denominator comes nearer than a convergent of √2 does (Hardy & Wright, An Introduction to the Theory of
// Numbers, ch. X, on best approximations), so the first return is at the first convergent 1/1 3/2 7/5 17/12 41/29
// 99/70 239/169 (OEIS A001333/A000129) that is near enough.
func TestTwoRanksReturnAtConvergents(t *testing.T) {
	for _, c := range []struct{ epsTurns, q, p float64 }{
		{0.05, 7, 5}, {0.02, 17, 12}, {0.01, 41, 29}, {0.005, 99, 70}, {0.001, 239, 169},
	} {
		if miss := math.Abs(c.q - c.p*math.Sqrt2); miss > c.epsTurns*(1+math.Sqrt2) {
			t.Fatalf("%v/%v misses by %v: not the convergent for ε %v", c.q, c.p, miss, c.epsTurns)
		}
		for semitonesDown := 6; semitonesDown < 12; semitonesDown++ {
			longSec, shortSec := heardSec(semitonesDown), heardSec(semitonesDown-6)
			got, ok := FirstReturn([]float64{shortSec, longSec}, c.epsTurns, dayHorizonSec)
			if !ok {
				t.Fatalf("ε %v: no return", c.epsTurns)
			}
			want := Return{
				FromSec:    max((c.q-c.epsTurns)*shortSec, (c.p-c.epsTurns)*longSec),
				ToSec:      min((c.q+c.epsTurns)*shortSec, (c.p+c.epsTurns)*longSec),
				BestSec:    (c.q + c.p) * shortSec * longSec / (shortSec + longSec),
				WorstTurns: math.Abs(c.q-c.p*math.Sqrt2) / (1 + math.Sqrt2),
			}
			if !sameReturn(got, want, 1e-9) {
				t.Errorf("ε %v, %d semitones down: got %+v, want %+v", c.epsTurns, semitonesDown, got, want)
			}
		}
	}
}

// All keys of equal length come back after exactly one cycle: 56 s an octave down, 28·2^(11/12) =
// 52.857 s eleven semitones down (arithmetic), however many of them sound.
func TestEqualCyclesReturnAfterOneCycle(t *testing.T) {
	for semitonesDown, wantSec := range map[int]float64{12: 56, 11: 52.857, 0: 28} {
		cycles := slices.Repeat([]float64{heardSec(semitonesDown)}, 40)
		got, ok := FirstReturn(cycles, 0.01, dayHorizonSec)
		if !ok || math.Abs(got.BestSec-wantSec) > 1e-3 || got.WorstTurns != 0 {
			t.Errorf("%d semitones down: got %+v %v, want BestSec %v and WorstTurns 0", semitonesDown,
				got, ok, wantSec)
		}
		if wantFrom := 0.99 * heardSec(semitonesDown); math.Abs(got.FromSec-wantFrom) > 1e-9 {
			t.Errorf("%d semitones down: back from %v s, want %v", semitonesDown, got.FromSec, wantFrom)
		}
	}
}

func TestOctavesReturnWithTheLongest(t *testing.T) {
	var bestSecs []float64
	for r := range Returns([]float64{28, 56, 14}, 0.02, 56*3) {
		bestSecs = append(bestSecs, r.BestSec)
	}
	if want := []float64{56, 112, 168}; !slices.Equal(bestSecs, want) {
		t.Errorf("best moments %v, want %v", bestSecs, want)
	}
}

func TestReturnsOfNothing(t *testing.T) {
	for name, c := range map[string]struct {
		cycleSecs            []float64
		epsTurns, horizonSec float64
	}{
		"no cycles":                   {nil, 0.01, 100},
		"zero length":                 {[]float64{28, 0}, 0.01, 100},
		"negative length":             {[]float64{-28}, 0.01, 100},
		"NaN length":                  {[]float64{math.NaN(), math.NaN(), 28}, 0.01, 100},
		"infinite length":             {[]float64{math.Inf(1)}, 0.01, 100},
		"NaN tolerance":               {[]float64{28}, math.NaN(), 100},
		"negative tolerance":          {[]float64{28}, -0.01, 100},
		"half a turn, never left":     {[]float64{28}, 0.5, 100},
		"NaN horizon":                 {[]float64{28}, 0.01, math.NaN()},
		"infinite horizon":            {[]float64{28}, 0.01, math.Inf(1)},
		"horizon before the return":   {[]float64{28}, 0.01, 27.7},
		"more turns than are counted": {[]float64{1e-9, math.SmallestNonzeroFloat64}, 0.01, 100},
	} {
		if got, ok := FirstReturn(c.cycleSecs, c.epsTurns, c.horizonSec); ok {
			t.Errorf("%s: got %+v, want none", name, got)
		}
	}
}

// Every product of these lengths, turns and tolerances is a whole number of 1/65536, which
// float64 holds exactly, so even stretches that only touch must agree with the fractions.
func TestReturnsEqualExactFractions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sixtyFourths := rapid.SliceOfN(rapid.IntRange(64, 640), 1, 5).Draw(t, "cycles in 1/64 s")
		epsTurns := float64(rapid.IntRange(0, 511).Draw(t, "tolerance in 1/1024 turn")) / 1024
		horizonSec := float64(rapid.IntRange(0, 80).Draw(t, "horizon in s"))
		var cycleSecs []float64
		for _, n := range sixtyFourths {
			cycleSecs = append(cycleSecs, float64(n)/64)
		}
		got := slices.Collect(Returns(cycleSecs, epsTurns, horizonSec))
		want := returnsByFractions(cycleSecs, epsTurns, horizonSec)
		if len(got) != len(want) {
			t.Fatalf("%d returns, want %d: %v, want %v", len(got), len(want), got, want)
		}
		for i := range want {
			if got[i].FromSec != want[i].FromSec || got[i].ToSec != want[i].ToSec ||
				!sameReturn(got[i], want[i], 1e-12) {
				t.Fatalf("return %d: %+v, want %+v", i, got[i], want[i])
			}
		}
	})
}

// Lengths and tolerances of any digits agree to the accuracy Returns states, leaving out stretches
// too narrow for it to judge.
func TestReturnsNearExactFractions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cycleSecs := rapid.SliceOfN(rapid.Float64Range(4, 12), 1, 3).Draw(t, "cycles")
		epsTurns := rapid.Float64Range(0.001, 0.2).Draw(t, "tolerance")
		wide := func(all []Return) (kept []Return) {
			for _, r := range all {
				if r.ToSec-r.FromSec > 1e-9 && r.FromSec < 199 {
					kept = append(kept, r)
				}
			}
			return kept
		}
		got := wide(slices.Collect(Returns(cycleSecs, epsTurns, 200)))
		want := wide(returnsByFractions(cycleSecs, epsTurns, 200))
		if len(got) != len(want) {
			t.Fatalf("%d returns, want %d", len(got), len(want))
		}
		for i := range want {
			if !sameReturn(got[i], want[i], 1e-10) {
				t.Fatalf("return %d: %+v, want %+v", i, got[i], want[i])
			}
		}
	})
}

// A day of a triad on both ranks: whatever is called a return must be one at its best moment, at
// the distance stated, and all cycles together cannot be back more often than two of them.
func TestTriadReturnsAreReturns(t *testing.T) {
	cycles := chordCycleSecs(60, 64, 67)
	count := 0
	for r := range Returns(cycles, 0.2, dayHorizonSec) {
		count++
		worst := 0.0
		for _, lengthSec := range cycles {
			turns := r.BestSec / lengthSec
			worst = max(worst, math.Abs(turns-math.Round(turns)))
		}
		if math.Abs(worst-r.WorstTurns) > 1e-11 || worst > 0.2 {
			t.Errorf("at %v s the worst cycle is %v turns away, said %v", r.BestSec, worst, r.WorstTurns)
		}
	}
	if two := len(slices.Collect(Returns(cycles[1:3], 0.2, dayHorizonSec))); count == 0 || count > two {
		t.Errorf("%d returns of the chord, %d of two of its cycles", count, two)
	}
}

// chordCycleSecs is four cycles a key: two ranks, two layers.
func chordCycleSecs(keys ...int) (cycleSecs []float64) {
	for _, key := range keys {
		for _, rank := range []int{0, 6} {
			semitonesDown := ((rank-key)%12 + 12) % 12
			cycleSecs = append(cycleSecs, heardSec(semitonesDown), heardSec(semitonesDown))
		}
	}
	return cycleSecs
}

func sameReturn(a, b Return, tolSec float64) bool {
	near := func(x, y float64) bool { return math.Abs(x-y) <= tolSec }
	return near(a.FromSec, b.FromSec) && near(a.ToSec, b.ToSec) && near(a.BestSec, b.BestSec) &&
		near(a.WorstTurns, b.WorstTurns)
}

// returnsByFractions is the slow, obvious way: all stretches of all cycles as fractions, pair by
// pair intersected, the best moment by trying every crossing of every two lines.
func returnsByFractions(cycleSecs []float64, epsTurns, horizonSec float64) (all []Return) {
	type stretch struct{ from, to *big.Rat }
	rat := func(x float64) *big.Rat { return new(big.Rat).SetFloat64(x) }
	horizon, eps := rat(horizonSec), rat(epsTurns)
	var common []stretch
	for i, lengthSec := range cycleSecs {
		var own, both []stretch
		for n := int64(0); float64(n-1)*lengthSec <= 2*horizonSec; n++ {
			turn := new(big.Rat).SetInt64(n)
			s := stretch{new(big.Rat).Sub(turn, eps), new(big.Rat).Add(turn, eps)}
			own = append(own, stretch{s.from.Mul(s.from, rat(lengthSec)), s.to.Mul(s.to, rat(lengthSec))})
		}
		for _, a := range common {
			for _, b := range own {
				s := a
				if b.from.Cmp(s.from) > 0 {
					s.from = b.from
				}
				if b.to.Cmp(s.to) < 0 {
					s.to = b.to
				}
				if s.from.Cmp(s.to) <= 0 {
					both = append(both, s)
				}
			}
		}
		if common = both; i == 0 {
			common = own
		}
	}
	for _, s := range common {
		if s.from.Sign() <= 0 || s.from.Cmp(horizon) > 0 {
			continue
		}
		from, _ := s.from.Float64()
		to, _ := s.to.Float64()
		best, worst := bestByFractions(cycleSecs, s.from, s.to)
		all = append(all, Return{from, to, best, worst})
	}
	return all
}

func bestByFractions(cycleSecs []float64, from, to *big.Rat) (bestSec, worstTurns float64) {
	half := big.NewRat(1, 2)
	var lengths, turns []*big.Rat
	for _, lengthSec := range cycleSecs {
		length := new(big.Rat).SetFloat64(lengthSec)
		near := new(big.Rat).Quo(from, length)
		near.Add(near, half)
		lengths = append(lengths, length)
		turns = append(turns, new(big.Rat).SetInt(new(big.Int).Div(near.Num(), near.Denom())))
	}
	distance := func(at *big.Rat) *big.Rat {
		worst := new(big.Rat)
		for i := range lengths {
			d := new(big.Rat).Quo(at, lengths[i])
			if d.Abs(d.Sub(d, turns[i])).Cmp(worst) > 0 {
				worst = d
			}
		}
		return worst
	}
	best, least := from, distance(from)
	for i := range lengths {
		for j := range lengths {
			at := new(big.Rat).Add(turns[i], turns[j]) // (nᵢ+nⱼ)·LᵢLⱼ/(Lᵢ+Lⱼ)
			at.Mul(at, lengths[i]).Mul(at, lengths[j])
			at.Quo(at, new(big.Rat).Add(lengths[i], lengths[j]))
			if d := distance(at); at.Cmp(from) >= 0 && at.Cmp(to) <= 0 && d.Cmp(least) < 0 {
				best, least = at, d
			}
		}
	}
	bestSec, _ = best.Float64()
	worstTurns, _ = least.Float64()
	return bestSec, worstTurns
}

func BenchmarkFirstReturnTenKeys(b *testing.B) {
	different := make([]float64, 40)
	for i := range different {
		different[i] = 28 * math.Exp2(float64(i)/40)
	}
	for name, cycles := range map[string][]float64{
		"two ranks":  chordCycleSecs(36, 43, 48, 52, 55, 59, 62, 66, 69, 73),
		"all differ": different,
	} {
		for _, epsTurns := range []float64{0.01, 0.02, 0.05} {
			b.Run(fmt.Sprintf("%s/eps %v", name, epsTurns), func(b *testing.B) {
				for range b.N {
					FirstReturn(cycles, epsTurns, dayHorizonSec)
				}
			})
		}
	}
}
