package arrange

import (
	"math"
	"slices"
	"testing"

	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
)

// All through a bed one take leads, and in turn each does.
func TestTakesTakeTurns(t *testing.T) {
	for _, name := range []string{"held", "mixed", "three"} {
		parts := testBeds()[name]
		for seed := range uint64(5) {
			bed := arranged(t, parts, 15, seed)
			for frame := 0; frame < len(bed.Left); frame += testRate / 10 {
				leads := map[int]bool{}
				for _, s := range bed.Spans {
					if s.Role == Lead && s.FromFrame <= frame && frame < s.ToFrame {
						leads[s.Part] = true
					}
				}
				if len(leads) > 1 || name == "held" && len(leads) != 1 {
					t.Errorf("%s, seed %d: %d takes lead at %.1f s", name, seed, len(leads), float64(frame)/testRate)
				}
			}
			for part := range parts {
				if !slices.ContainsFunc(bed.Spans, func(s Span) bool {
					return s.Part == part && (s.Role == Lead || s.Role == Stroke)
				}) {
					t.Errorf("%s, seed %d: take %d never leads", name, seed, part)
				}
			}
		}
	}
}

// While it leads, a take stands at its height; while another is in the middle of its own turn, far below.
func TestTakesComeForwardAndStepBack(t *testing.T) {
	s := project.DefaultArrange()
	for n := 2; n <= 8; n++ {
		for seed := range uint64(20) {
			leads := schedule(n, nil, 15, s.TurnSec, newChance(seed, 1, n, 0))
			if first, last := leads[0].fromSec, leads[len(leads)-1].toSec; first != 0 || math.Abs(last-15) > 1e-9 {
				t.Fatalf("%d takes: leads from %.2f to %.2f s, expected all of the bed", n, first, last)
			}
			for k, l := range leads {
				middle := (l.fromSec + l.toSec) / 2
				if db := l.gainDB(middle, s.JoinSec, s.SupportDB); db != 0 {
					t.Errorf("%d takes: %.2f dB in the middle of its turn", n, db)
				}
				if k == 0 {
					continue
				}
				before := leads[k-1]
				if l.fromSec != before.toSec {
					t.Errorf("%d takes: one leads until %.3f s, the next from %.3f s on", n, before.toSec, l.fromSec)
				}
				if db := before.gainDB(middle, s.JoinSec, s.SupportDB); db > -8 {
					t.Errorf("%d takes: %.1f dB in the middle of the next one's turn", n, db)
				}
				for _, at := range []lead{before, l} {
					if db := at.gainDB(l.fromSec, s.JoinSec, s.SupportDB); db < -7 || db > -2 {
						t.Errorf("%d takes: %.1f dB where one takes over from the other, expected 3 to 6 below", n, db)
					}
				}
			}
		}
	}
}

// Takes that lead one after the other differ: the dull ones stand between the bright ones.
func TestNeighboursDiffer(t *testing.T) {
	parts := slices.Clone(testBeds()["held"])
	for i := range parts {
		parts[i].BrightnessHz = []float64{300, 320, 340, 5000, 5200, 5400}[i]
	}
	for seed := range uint64(10) {
		bed := arranged(t, parts, 15, seed)
		var order []Span
		for _, s := range bed.Spans {
			if s.Role == Lead {
				order = append(order, s)
			}
		}
		slices.SortFunc(order, func(a, b Span) int { return a.FromFrame - b.FromFrame })
		alike := 0
		for k := range order[1:] {
			if (order[k].Part < 3) == (order[k+1].Part < 3) {
				alike++
			}
		}
		if alike > 1 {
			t.Errorf("seed %d: %d of %d changes are between takes that are alike bright", seed, alike, len(order)-1)
		}
	}
}

// A steady take lies beneath the others all the time; those that are not as steady step back farther.
func TestSteadyTakesLieBeneath(t *testing.T) {
	parts := slices.Clone(testBeds()["held"])
	parts[2].SteadinessDB = 0.3
	bed := arranged(t, parts, 15, 1)
	back := project.DefaultArrange().SupportDB
	for _, s := range bed.Spans {
		most, least := backMost*back, backLeast*back
		if s.Part == 2 {
			most, least = backLeast*back, groundLeast*back
		}
		stands := bed.Laid[s.Part].RaisedDB - s.GainDB
		if s.Role == Support && (stands > most+1e-9 || stands < least-1e-9 || s.FromFrame != 0 ||
			s.ToFrame != len(bed.Left)) {
			t.Errorf("take %d: %.1f dB back from %d to %d, expected %.1f to %.1f all the time", s.Part, stands,
				s.FromFrame, s.ToFrame, least, most)
		}
	}
}

// Strokes come in gestures: irregular, none like another in level and place, with rests between them.
func TestStrokesComeInGestures(t *testing.T) {
	for seed := range uint64(5) {
		bed := arranged(t, testBeds()["struck"], 15, seed)
		for part := range 4 {
			var at []int
			levels, places := map[float64]bool{}, map[float64]bool{}
			for _, s := range bed.Spans {
				if s.Part == part {
					at = append(at, s.FromFrame)
					levels[s.GainDB], places[s.Place] = true, true
				}
			}
			slices.Sort(at)
			if len(at) < 5 {
				t.Errorf("seed %d: take %d is struck %d times in 15 s", seed, part, len(at))
				continue
			}
			mean, spread := 0.0, 0.0
			for k := 1; k < len(at); k++ {
				mean += float64(at[k]-at[k-1]) / float64(len(at)-1)
			}
			for k := 1; k < len(at); k++ {
				spread += math.Pow(float64(at[k]-at[k-1])-mean, 2) / float64(len(at)-1)
			}
			if math.Sqrt(spread) < 0.15*mean {
				t.Errorf("seed %d: take %d is struck every %.2f s, give or take %.2f only", seed, part, mean/testRate,
					math.Sqrt(spread)/testRate)
			}
			if len(levels) < len(at) || len(places) < len(at) {
				t.Errorf("seed %d: strokes of take %d repeat their level or place", seed, part)
			}
		}
	}
}

// A cycle is heard without end: over its joins, the last into the first, the level must stay as it is inside a bed.
func TestJoinsOfACycleStayLevel(t *testing.T) {
	for name, parts := range testBeds() {
		a, b := arranged(t, parts, 15, 21), arranged(t, parts, 15, 22)
		left := cycleOf(a.Left, b.Left, testRate)
		right := cycleOf(a.Right, b.Right, testRate)
		left, right = append(left, left[:4*testRate]...), append(right, right[:4*testRate]...)
		m := sound.NewMeter(testRate, sound.StereoWeights)
		m.Add(left, right)
		low, high := math.Inf(1), math.Inf(-1)
		for _, lufs := range m.ShortTermLUFS() {
			low, high = min(low, lufs+20), max(high, lufs+20)
		}
		t.Logf("%s: %+.2f … %+.2f LU", name, low, high)
		if low < -2 || high > 2 {
			t.Errorf("%s: over the joins the short-term loudness strays by %.2f to %+.2f LU, expected within 2", name,
				low, high)
		}
	}
}

// cycleOf joins two beds and their ends, quarter waves over `overlap` frames.
func cycleOf(a, b []float32, overlap int) []float32 {
	join := func(out, first, second []float32) []float32 {
		end := first[len(first)-overlap:]
		fadeRange(overlap, 0, func(i int, in, away float32) { out = append(out, away*end[i]+in*second[i]) })
		return append(out, second[overlap:len(second)-overlap]...)
	}
	return join(join(nil, b, a), a, b)
}

// Beds without noise of their own show any click as roughness; and neither end is faded.
func TestBedsHaveNoClicks(t *testing.T) {
	held := []Part{pure(110, 1.4), pure(220, 2.3), pure(110, 0.7), pure(165, 3), pure(110, 17)}
	for i := range held {
		held[i].Index = i
	}
	for name, parts := range map[string][]Part{"turns": held, "two": held[:2], "one": held[:1]} {
		bed := arranged(t, parts, 12, 5)
		for _, side := range [][]float32{bed.Left, bed.Right} {
			r := roughness(side)
			t.Logf("%s: roughness %.2g", name, r)
			if r > 3e-4 { // six times a click at −86 dBFS
				t.Errorf("%s: roughness %.2g", name, r)
			}
			whole := testsound.RMS(side)
			for _, end := range [][]float32{side[:testRate/5], side[len(side)-testRate/5:]} {
				if testsound.RMS(end) < whole/3 {
					t.Errorf("%s: an end is %.1f dB below the bed", name,
						sound.PowerDB(testsound.RMS(end)*testsound.RMS(end)/whole/whole))
				}
			}
		}
	}
}

// The pan law is the trade's constant-power one: −3.01 dB a side at the centre.
func TestPlacing(t *testing.T) {
	one := func(left, right float32, place float64) (l, r float64) {
		var s stem
		s.resize(1)
		s.clear()
		s.place(stem{[]float32{left}, []float32{right}}, 0, placeAt(place, 1), nil)
		return float64(s.left[0]), float64(s.right[0])
	}
	if l, r := one(1, 1, 0); math.Abs(20*math.Log10(l)+3.0103) > 1e-3 || l != r {
		t.Errorf("a mono take in the centre: %.4f left, %.4f right, want −3.01 dB each", l, r)
	}
	for place := -1.0; place <= 1; place += 0.05 {
		if l, r := one(1, 1, place); math.Abs(l*l+r*r-1) > 1e-6 {
			t.Errorf("a mono take at %.2f has power %.4f, want 1", place, l*l+r*r)
		}
		for _, side := range [][2]float32{{1, 0}, {0, 1}} {
			if l, r := one(side[0], side[1], place); l < -1e-7 || r < -1e-7 {
				t.Errorf("a take on one side, at %.2f: %.3f left, %.3f right; a sign has turned", place, l, r)
			}
		}
	}
	if l, r := one(1, 0, 0); math.Abs(r) > 1e-6 {
		t.Errorf("a stereo take in the centre loses its image: %.3f left, %.3f right", l, r)
	}
}

// Whatever conforming lets through must give a bed or an error, never rubbish.
func TestOddTakes(t *testing.T) {
	loud := tone(220, 2, 5, 1)
	for i := range loud.Left {
		loud.Left[i] *= 40
	}
	opposite := tone(220, 2, 5, 2)
	opposite.Right = make([]float32, len(opposite.Left))
	for i, v := range opposite.Left {
		opposite.Right[i] = -v
	}
	one := Part{Left: []float32{0.5}, Right: []float32{0.5}, Kind: measure.Held, SteadinessDB: math.NaN()}
	oneSided := tone(220, 2, 5, 3)
	oneSided.Right = make([]float32, len(oneSided.Left))
	click := make([]float32, testRate)
	click[100] = 1
	for name, parts := range map[string][]Part{
		"far too loud":      {loud, tone(220, 3, 6, 4)},
		"opposite channels": {opposite},
		"one-sided":         {oneSided, oneSided, oneSided, oneSided},
		"one with silence": {tone(220, 2, 5, 5),
			{Left: make([]float32, 99), Right: make([]float32, 99), Kind: measure.Held}},
	} {
		bed := arranged(t, parts, 15, 2)
		if math.Abs(bed.LoudnessLUFS+20) > 0.1 || !(bed.TruePeakDBTP < -3) || !(bed.MonoLossDB < 3) {
			t.Errorf("%s: %.2f LUFS, %.2f dBTP, mono loses %.2f dB", name, bed.LoudnessLUFS,
				bed.TruePeakDBTP, bed.MonoLossDB)
		}
	}
	for name, p := range map[string]Part{"one sample": one,
		"a click": {Left: click, Right: click, Kind: measure.Struck}} {
		bed := arranged(t, []Part{p}, 5, 2)
		if !(bed.TruePeakDBTP < -3) || math.IsNaN(testsound.RMS(bed.Left)) {
			t.Errorf("%s: %.2f dBTP, %.3f RMS", name, bed.TruePeakDBTP, testsound.RMS(bed.Left))
		}
	}
	for _, rateHz := range []int{8000, 44100, 96000, 192000} {
		if bed, err := Bed(mixed(), beside, project.DefaultArrange(), 5*rateHz, rateHz, 1); err != nil ||
			math.Abs(bed.LoudnessLUFS+20) > 0.1 {
			t.Errorf("%d Hz: %v", rateHz, err)
		}
	}
	for _, frames := range []int{1, 2, 63, 64, 65, 4799, 4801, 30000} {
		if bed, err := Bed(mixed(), beside, project.DefaultArrange(), frames, testRate, 1); err != nil ||
			len(bed.Left) != frames || len(bed.Right) != frames {
			t.Errorf("a bed of %d frames: %v", frames, err)
		}
	}
}

// The builder's gain is what a take differs by from the common level.
func TestBuildersGainIsHeard(t *testing.T) {
	level := func(gainDB float64) float64 {
		parts := slices.Clone(testBeds()["held"])
		parts[1].GainDB = gainDB
		a := newArranger(project.DefaultArrange(), len(parts), 15*testRate, testRate, 1)
		defer a.free()
		for i, p := range parts {
			a.materials[i] = newMaterial(p, testRate)
		}
		a.layOut()
		_, own := a.level(1)
		return sound.PowerDB(own.heardPower())
	}
	if got := level(-4.5) - level(0); math.Abs(got+4.5) > 0.01 {
		t.Errorf("a gain of −4.5 dB came out as %.2f", got)
	}
}
