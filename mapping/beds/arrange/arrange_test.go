package arrange

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"sync"
	"testing"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/measure"
)

const testRate = 48000

// beside is the company of test beds: on their key, three cycles in which a low, a middle and a high noise lead in
// turn.
var beside = func() hearing.Company {
	leads := &hearing.Course{}
	for _, first := range []int{10, 30, 50} {
		var e hearing.Excitation
		for band := range 20 {
			e[first+band] = 1.0 / 20
		}
		leads.Add(&e)
	}
	return hearing.Company{Cycles: []*hearing.Course{leads}, Ratio: 1,
		Keys: [][]hearing.Companion{{{Power: 1}, {Power: 1}, {Power: 1}}}}
}()

// tone is a held take: partials with a slow tremolo and some noise, 10 ms fades at the ends.
func tone(hz, sec float64, partials int, seed uint64) Part {
	frames := int(sec * testRate)
	c := newChance(seed, 99, 0, 0)
	phase := make([]float64, partials)
	for k := range phase {
		phase[k] = c.between(0, 2*math.Pi)
	}
	tremolo, depth := c.between(3, 6), c.between(0.05, 0.2)
	out := make([]float32, frames)
	for i := range out {
		t := float64(i) / testRate
		sum := 0.01 * c.between(-1, 1)
		for k := range phase {
			sum += 0.1 / float64(k+1) * math.Sin(2*math.Pi*hz*float64(k+1)*t+phase[k])
		}
		sum *= 1 + depth*math.Sin(2*math.Pi*tremolo*t)
		edge := math.Min(float64(min(i, frames-1-i))/(0.01*testRate), 1)
		out[i] = float32(edge * sum)
	}
	return Part{Left: out, Right: out, Kind: measure.Held, SteadinessDB: math.NaN(), Index: int(seed)}
}

// pluck is a struck take: partials that die away, the higher the sooner.
func pluck(hz, decaySec float64, seed uint64) Part {
	frames := int(4 * decaySec * testRate)
	c := newChance(seed, 98, 0, 0)
	out := make([]float32, frames)
	for k := 1; k <= 8; k++ {
		phase := c.between(0, 2*math.Pi)
		for i := range out {
			t := float64(i) / testRate
			out[i] += float32(0.3 / float64(k) * math.Exp(-t*float64(k)*0.6*3/decaySec) * math.Min(t/0.002, 1) *
				math.Sin(2*math.Pi*hz*float64(k)*t+phase))
		}
	}
	return Part{Left: out, Right: out, Kind: measure.Struck, SteadinessDB: math.NaN(), Index: int(seed)}
}

// hiss is a noisy take with two unrelated channels.
func hiss(sec float64, seed uint64) Part {
	c := newChance(seed, 97, 0, 0)
	left, right := make([]float32, int(sec*testRate)), make([]float32, int(sec*testRate))
	for i := range left {
		left[i], right[i] = float32(0.1*c.between(-1, 1)), float32(0.1*c.between(-1, 1))
	}
	return Part{Left: left, Right: right, Kind: measure.Noisy, SteadinessDB: math.NaN(), Index: int(seed)}
}

// mixed is a bed of eight takes of every kind on A3.
func mixed() []Part {
	return []Part{
		tone(220, 3, 12, 1), tone(220, 1.2, 6, 2), tone(220, 20, 3, 3), tone(440, 2, 8, 4), tone(220, 0.6, 16, 5),
		pluck(220, 0.8, 6), pluck(440, 0.4, 7), hiss(2, 8),
	}
}

// testBeds are beds of several makings, by name; they are shared, not to be changed.
var testBeds = sync.OnceValue(func() map[string][]Part {
	return map[string][]Part{
		"mixed": mixed(),
		"held": {tone(110, 3, 12, 1), tone(110, 2, 6, 2), tone(110, 4, 20, 3), tone(220, 2, 8, 4),
			tone(110, 1.1, 16, 5), tone(110, 20, 2, 6)},
		"struck":      {pluck(220, 0.8, 6), pluck(440, 0.4, 7), pluck(220, 1.5, 8), pluck(110, 0.3, 9)},
		"one held":    {tone(220, 1.5, 10, 1)},
		"one struck":  {pluck(220, 0.5, 1)},
		"two":         {tone(220, 1.5, 10, 1), pluck(220, 0.5, 2)},
		"three":       {tone(220, 1.5, 10, 1), tone(220, 2.5, 3, 2), hiss(1, 3)},
		"one noisy":   {hiss(0.7, 1)},
		"very short":  {tone(220, 0.2, 5, 1), tone(220, 0.25, 9, 2)},
		"high struck": {pluck(2093, 0.1, 1), pluck(2093, 0.2, 2), pluck(4186, 0.1, 3)},
	}
})

func arranged(t testing.TB, parts []Part, seconds float64, seed uint64) *Arranged {
	t.Helper()
	return arrangedUnder(t, project.DefaultArrange(), parts, seconds, seed)
}

func arrangedUnder(t testing.TB, s project.ArrangeSettings, parts []Part, seconds float64, seed uint64) *Arranged {
	t.Helper()
	bed, err := Bed(parts, beside, s, int(seconds*testRate), testRate, seed)
	if err != nil {
		t.Fatal(err)
	}
	return bed
}

func TestBedsKeepTheirFigures(t *testing.T) {
	for name, parts := range testBeds() {
		t.Run(name, func(t *testing.T) {
			checkFigures(t, arranged(t, parts, 15, 7), project.DefaultArrange())
		})
	}
}

// heardAlone is for which part of a bed that sounds alone each take is heard.
func heardAlone(bed *Arranged) (shares []float64) {
	cycle := hearing.Cycle{Beds: []hearing.Bed{{Sec: float64(len(bed.Left)) / testRate, Takes: bed.Courses}}, Ratio: 1}
	for _, moments := range hearing.NewNote([]hearing.Cycle{cycle}).Listen([]float64{1}, cycle.Beds[0].Sec) {
		shares = append(shares, moments.Share())
	}
	return shares
}

func checkFigures(t *testing.T, bed *Arranged, s project.ArrangeSettings) {
	t.Helper()
	t.Logf("%.2f LUFS, short-term %+.2f … %+.2f LU, %.2f dBTP, mono loses %.2f dB", bed.LoudnessLUFS,
		bed.ShortTermMinLU, bed.ShortTermMaxLU, bed.TruePeakDBTP, bed.MonoLossDB)
	for i, share := range heardAlone(bed) {
		t.Logf("take %d: heard for %.0f %%, raised %.1f dB", i, 100*share, bed.Laid[i].RaisedDB)
		if share < 0.1 {
			t.Errorf("take %d is heard for %.0f %% of the bed", i, 100*share)
		}
	}
	if !(math.Abs(bed.LoudnessLUFS-s.TargetLUFS) < 0.1) {
		t.Errorf("loudness %.2f LUFS, expected %.1f within 0.1 LU", bed.LoudnessLUFS, s.TargetLUFS)
	}
	if !(bed.ShortTermMinLU > -2 && bed.ShortTermMaxLU < 2) {
		t.Errorf("short-term loudness strays %.2f to %+.2f LU, expected within 2", bed.ShortTermMinLU,
			bed.ShortTermMaxLU)
	}
	if !(bed.TruePeakDBTP < s.CeilingDBTP) {
		t.Errorf("true peak %.2f dBTP, expected below %.1f", bed.TruePeakDBTP, s.CeilingDBTP)
	}
	if !(bed.MonoLossDB < 3) {
		t.Errorf("the mono sum loses %.2f dB, expected less than 3", bed.MonoLossDB)
	}
	for i, v := range bed.Left {
		if v != v || bed.Right[i] != bed.Right[i] {
			t.Fatalf("frame %d is not a number", i)
		}
	}
}

// Same inputs, same bytes: whatever was arranged before in the same memory, and beside it.
func TestSameArgumentsSameSamples(t *testing.T) {
	beds := testBeds()
	first := arranged(t, beds["mixed"], 6, 3)
	var others sync.WaitGroup
	for _, name := range []string{"held", "struck", "one held", "two"} {
		others.Go(func() {
			arranged(t, beds[name], 4, 1)
			again := arranged(t, beds["mixed"], 6, 3)
			if !slices.Equal(first.Left, again.Left) || !slices.Equal(first.Right, again.Right) ||
				!slices.Equal(first.Spans, again.Spans) || !reflect.DeepEqual(first.Laid, again.Laid) {
				t.Errorf("two beds of the same takes and seed differ, after %q", name)
			}
		})
	}
	others.Wait()
	if other := arranged(t, beds["mixed"], 6, 4); slices.Equal(first.Left, other.Left) {
		t.Error("another seed gives the same bed")
	}
}

func TestNothingToArrange(t *testing.T) {
	silence := make([]float32, 1000)
	for name, parts := range map[string][]Part{
		"no takes":   nil,
		"empty take": {{Kind: measure.Held}},
		"silence":    {{Left: silence, Right: silence, Kind: measure.Struck}},
	} {
		if _, err := Bed(parts, beside, project.DefaultArrange(), 48000, testRate, 1); !errors.Is(err, ErrNoParts) {
			t.Errorf("%s: %v, expected ErrNoParts", name, err)
		}
	}
	if _, err := Bed(mixed(), beside, project.DefaultArrange(), 0, testRate, 1); err == nil {
		t.Error("a bed of no frames was arranged")
	}
}

func BenchmarkArrange(b *testing.B) {
	parts := testBeds()["mixed"]
	for b.Loop() {
		arranged(b, parts, 15, 7)
	}
}
