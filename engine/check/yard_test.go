// Sound maps made for the tests, and faults planted into them.

package check_test

import (
	"context"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"sync"
	"testing"

	"lapstrake/engine/check"
	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
)

const (
	yardRateHz = 8000
	yardBedSec = 3

	yardOverlapFrames = yardRateHz / 2
)

// yard is a project of two ranks over two octaves. A test changes it before it is checked.
type yard struct {
	grid     mapping.Grid
	settings project.Settings
	beds     map[mapping.BedName][]float32 // interleaved stereo
	change   func(m *mapping.Map)          // the finished map; nil changes nothing
	takes    map[mapping.BedName]yardTake  // what the record of the build tells of beds
}

// soundYard makes beds in which nothing is wrong: partials of the root whose phases differ from bed to bed, brighter
// and 9 LU louder in the loud layer, all of one layer alike loud.
func soundYard(seed uint64) *yard {
	y := &yard{grid: yardGrid(), settings: project.Default(), beds: map[mapping.BedName][]float32{}}
	y.settings.Project.RateHz = yardRateHz
	random := rand.New(rand.NewPCG(seed, 12))
	for _, root := range y.grid.Roots() {
		for _, strand := range []string{"a", "b"} {
			soft, loud := partials(random, float64(root), 1.5), partials(random, float64(root), 1.2)
			level(soft, -29)
			level(loud, -20)
			y.beds[mapping.BedName{Layer: "soft", Strand: strand, Root: root}] = soft
			y.beds[mapping.BedName{Layer: "loud", Strand: strand, Root: root}] = loud
		}
	}
	return y
}

var yardGrid = sync.OnceValue(func() mapping.Grid {
	g := mapping.DefaultGrid()
	g.LowestKey, g.HighestKey, g.StaggerBy = 49, 72, mapping.ByKey
	return g.SpreadStarts(g.Roots())
})

// partials are the first ones of a key, each side with a slow sway of its own, falling with the frequency to
// the power of -tilt.
func partials(random *rand.Rand, key, tilt float64) []float32 {
	const most = 10
	bed := make([]float32, 2*yardBedSec*yardRateHz)
	tuneCents := 4*random.Float64() - 2 // no two beds are exactly in tune, so their powers add
	for n := 1; n <= most; n++ {
		hz := sound.KeyHz(key+tuneCents/100) * float64(n)
		if hz > 0.4*yardRateHz {
			break
		}
		phase := 2 * math.Pi * random.Float64()
		for side := range 2 {
			level := complex(math.Pow(float64(n), -tilt), 0)
			wave, turn := cmplx.Rect(1, phase+2*random.Float64()), cmplx.Rect(1, 2*math.Pi*hz/yardRateHz)
			sway := cmplx.Rect(0.3, 2*math.Pi*random.Float64())
			swayTurn := cmplx.Rect(1, 2*math.Pi*(0.2+random.Float64())/yardRateHz)
			for i := side; i < len(bed); i += 2 {
				bed[i] += float32(real(level*wave) * (1 + real(sway)))
				wave, sway = wave*turn, sway*swayTurn
			}
		}
	}
	return bed
}

// noiseYard is one whose beds are noise: pure tones beat where they cross, and noise does not.
func noiseYard(seed uint64) *yard {
	y := soundYard(seed)
	random := rand.New(rand.NewPCG(seed, 13))
	for _, name := range y.names() {
		bed := y.beds[name]
		for i := range bed {
			bed[i] = float32(random.NormFloat64())
		}
		level(bed, map[string]float64{"soft": -29, "loud": -20}[name.Layer])
	}
	return y
}

// livingYard is one of longer beds that never stand still: in each, six registers of noise come forward one after the
// other, in an order of its own, by 24 dB.
func livingYard(seed uint64) *yard {
	const bedSec, registers = livingBedSec, 6
	y := stillYard(seed)
	random := rand.New(rand.NewPCG(seed, 14))
	for _, name := range y.names() {
		bed := y.beds[name]
		order := random.Perm(registers)
		for register, place := range order {
			lowHz := 50 * math.Exp2(float64(register))
			shapeBand(bed, lowHz, 2*lowHz, func(sec float64) float64 {
				apart := math.Abs(sec/bedSec*registers - float64(place) - 0.5)
				return 24 * max(1-apart, 0)
			})
		}
		level(bed, map[string]float64{"soft": -29, "loud": -20}[name.Layer])
	}
	return y
}

const livingBedSec = 13

// stillYard is one of such beds that stand still.
func stillYard(seed uint64) *yard {
	y := soundYard(seed)
	random := rand.New(rand.NewPCG(seed, 15))
	for _, name := range y.names() {
		y.beds[name] = noise(random, livingBedSec)
		level(y.beds[name], map[string]float64{"soft": -29, "loud": -20}[name.Layer])
	}
	return y
}

// noise is white, each side its own.
func noise(random *rand.Rand, sec float64) []float32 {
	bed := make([]float32, 2*int(sec*yardRateHz))
	for i := range bed {
		bed[i] = float32(0.1 * random.NormFloat64())
	}
	return bed
}

// level brings a bed to a loudness.
func level(bed []float32, lufs float64) {
	meter := sound.NewMeter(yardRateHz, sound.StereoWeights)
	left, right := make([]float32, len(bed)/2), make([]float32, len(bed)/2)
	for i := range left {
		left[i], right[i] = bed[2*i], bed[2*i+1]
	}
	meter.Add(left, right)
	gain(bed, lufs-meter.IntegratedLUFS())
}

func gain(bed []float32, gainDB float64) {
	by := float32(sound.DBToAmplitude(gainDB))
	for i := range bed {
		bed[i] *= by
	}
}

// open writes the project and opens it for checking.
func (y *yard) open(t testing.TB) check.Input {
	t.Helper()
	dir := t.TempDir()
	var beds []mapping.Bed
	for _, name := range y.names() {
		y.write(t, dir, name)
		beds = append(beds, mapping.Bed{BedName: name, Path: name.String()})
	}
	y.writeTakes(t, dir)
	y.settings.Grid = y.grid
	y.settings.Beds.OverlapSec = float64(yardOverlapFrames) / yardRateHz
	m, _, err := y.settings.Map(beds)
	if err != nil {
		t.Fatal(err)
	}
	if y.change != nil {
		y.change(m)
	}
	path := filepath.Join(dir, mapping.FileName)
	if err := m.Save(path); err != nil {
		t.Fatal(err)
	}
	return y.opened(t, path)
}

// opened opens a map that is there.
func (y *yard) opened(t testing.TB, path string) check.Input {
	t.Helper()
	m, err := mapping.Load(path)
	if err != nil {
		t.Fatal(err)
	}
	cycles, err := stream.OpenCycles(m, filepath.Dir(path), stream.Reduction{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cycles.Close() })
	return check.Input{MapPath: path, Cycles: cycles, Settings: y.settings, Keys: []int{55, 62}}
}

// write puts a bed into the project.
func (y *yard) write(t testing.TB, dir string, name mapping.BedName) {
	t.Helper()
	writeWAV(t, filepath.Join(dir, name.String()), y.beds[name])
}

// check runs some checks, or all.
func (y *yard) check(t testing.TB, parts ...string) *check.Report {
	t.Helper()
	in := y.open(t)
	in.Parts = parts
	report, err := check.Run(context.Background(), in, nil)
	if err != nil {
		t.Fatal(err)
	}
	return report
}

// findings lists those of one kind.
func findings(report *check.Report, what string) (found []check.Finding) {
	for _, part := range report.Parts {
		for _, f := range part.Findings {
			if f.What == what {
				found = append(found, f)
			}
		}
	}
	return found
}

// names lists a bed of the yard and tells them apart from run to run.
func (y *yard) names() []mapping.BedName {
	var names []mapping.BedName
	for name := range y.beds {
		names = append(names, name)
	}
	slices.SortFunc(names, func(a, b mapping.BedName) int {
		return slices.Compare([]byte(a.String()), []byte(b.String()))
	})
	return names
}
