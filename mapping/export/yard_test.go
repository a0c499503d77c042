// A small instrument for the tests: two ranks, two layers, cycles of noise and tones in memory.

package export

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/export/testyard"
	"lapstrake/mapping/wav"
)

// memory is a cycle in memory.
type memory []float32

func (m memory) ReadFrames(dst []float32, pos int64) error {
	frames := int64(len(m) / 2)
	for k := 0; k < len(dst); k += 2 {
		at := ((pos+int64(k/2))%frames + frames) % frames
		dst[k], dst[k+1] = m[2*at], m[2*at+1]
	}
	return nil
}

// yardFrames is the length of each cycle: more than one piece, and not a whole number of them.
const yardFrames = 2*pieceFrames + 1001

// yardCycles gives every zone and layer a sound of its own.
func yardCycles(rateHz int, frames int64) Cycles {
	cycles := map[[2]int]Cycle{}
	return func(zone, layer int) Cycle {
		key := [2]int{zone, layer}
		if _, made := cycles[key]; !made {
			random := rand.New(rand.NewPCG(uint64(zone), uint64(layer)))
			sound := make(memory, 2*frames)
			for i := range sound {
				sound[i] = float32(0.1*random.NormFloat64() +
					0.2*math.Sin(2*math.Pi*float64(int64(i/2)*int64(40+zone))/float64(frames)))
			}
			cycles[key] = Cycle{mapping.CycleLength{Frames: frames, RateHz: rateHz}, sound, false,
				[]int64{0, frames / 2}}
		}
		return cycles[key]
	}
}

// yard is an export of that.
func yard(t testing.TB, change func(*Job)) *Job {
	t.Helper()
	j := &Job{Map: testyard.Map(), Cycles: yardCycles(testyard.RateHz, yardFrames), Title: "Yard",
		Artist: "Neighbours", Parts: Parts{WAV, Bank}, Starts: FirstStart, Format: wav.PCM24, Performance: trial()}
	if change != nil {
		change(j)
	}
	if err := j.Map.Check(); err != nil {
		t.Fatal(err)
	}
	return j
}

// trial is a performance of two seconds of noise.
func trial() *Performance {
	return &Performance{Score: []byte("MThd"), RateHz: testyard.RateHz, Frames: 2 * testyard.RateHz,
		Play: func(take func([]float32) error) error {
			random := rand.New(rand.NewPCG(7, 7))
			block := make([]float32, 2*500)
			for range 2 * testyard.RateHz / 500 {
				for k := range block {
					block[k] = float32(0.1 * random.NormFloat64())
				}
				if err := take(block); err != nil {
					return err
				}
			}
			return nil
		}}
}

// mono makes cycles of one channel: both sides of their frames are the left one.
func mono(cycles Cycles) Cycles {
	return func(zone, layer int) Cycle {
		c := cycles(zone, layer)
		left := slices.Clone(c.Source.(memory))
		for k := 0; k < len(left); k += 2 {
			left[k+1] = left[k]
		}
		c.Source, c.Mono = left, true
		return c
	}
}

func itemsOf(t testing.TB, j *Job) []Item {
	t.Helper()
	items, err := j.items()
	if err != nil {
		t.Fatal(err)
	}
	return items
}

func noStep(int) error { return nil }

// fileIn is the name of an item's file, from the export's folder, as the part of a name has it.
func fileIn(name string, i *Item) string {
	return parts[slices.IndexFunc(parts, func(p part) bool { return p.name == name })].fileName(i)
}
