// Where in their cycles notes are, what happens when reading falls behind, and how loud it can get.

package engine

import (
	"fmt"
	"math"
	"testing"

	"lapstrake/mapping"
)

// gridProject plays the default grid, every root from the same beds.
func gridProject(t testing.TB, strands ...string) (*project, mapping.Grid) {
	p := newProject(t)
	var beds []mapping.Bed
	for root := 24; root <= 114; root += 6 {
		for _, layer := range p.Layers {
			for i, strand := range p.Strands {
				beds = append(beds, mapping.Bed{BedName: mapping.BedName{Layer: layer, Strand: strand, Root: root},
					Path: strands[i]})
			}
		}
	}
	for i, strand := range strands {
		side := float64(i)
		p.bed(strand, stereoOf(seconds(0.5), func(frame int) (left, right float64) {
			sin := 0.2 * math.Sin(2*math.Pi*(2000+500*side)/testRateHz*float64(frame))
			return sin * (1 - side), sin * side
		}))
	}
	grid := mapping.DefaultGrid()
	if _, err := mapping.Generate(p.Map, beds, grid); err != nil {
		t.Fatal(err)
	}
	return p, grid
}

// Bed a sounds on the left, bed b on the right. For every key of each rank, the time from the note-on to where b takes
// over from a follows from the zone's start, the cycle's length and the shift.
func TestEveryKeySwitchesBedsOnTime(t *testing.T) {
	const bedSec, overlapSec = 0.5, 0.1
	const cycleSec, switchSec = 2 * (bedSec - overlapSec), bedSec - 1.5*overlapSec // from the first frame of a alone
	p, grid := gridProject(t, "a.wav", "b.wav")
	all, worst := p.Zones, 0.0
	for _, rank := range []string{"C", "F#"} {
		p.Zones = nil
		for _, zone := range all {
			if zone.Rank == rank {
				p.Zones = append(p.Zones, zone)
			}
		}
		var events []Event
		var froms, wants []float64 // seconds
		at := 0.0
		for _, zone := range p.Zones {
			for key := zone.Low; key <= zone.High; key++ {
				turns := math.Mod(switchSec/cycleSec-zone.Start+1, 1)
				want := turns * cycleSec * math.Exp2(float64(zone.Root-key)/12)
				froms, wants = append(froms, at), append(wants, want)
				events = append(events, NoteOn(int64(seconds(at)), 0, byte(key), 100),
					Control(int64(seconds(at+want+0.1)), 0, 120, 0))
				at += want + 0.12
			}
		}
		if len(froms) != grid.HighestKey-grid.LowestKey+1 {
			t.Fatalf("rank %s: %d keys, expected 88", rank, len(froms))
		}
		out := play(p.open(Settings{}), seconds(at), events...)
		for i, from := range froms {
			got := takeOverSec(out[2*seconds(from):2*seconds(from+wants[i]+0.1)], 0.01)
			worst = max(worst, math.Abs(got-wants[i]))
			requireNear(t, fmt.Sprintf("rank %s, key %d: seconds until b takes over", rank, p.Zones[0].Low+i),
				got, wants[i], 0.005)
		}
	}
	t.Logf("worst key: %.2f ms off", 1000*worst)
}

// takeOverSec is the time at which the right channel rises above the left one, by the power in a centred window.
func takeOverSec(stereo []float32, windowSec float64) float64 {
	half := seconds(windowSec / 2)
	var balance float64
	leftWas := false
	for i := range len(stereo) / 2 {
		left, right := float64(stereo[2*i]), float64(stereo[2*i+1])
		balance += left*left - right*right
		if i >= 2*half {
			left, right := float64(stereo[2*(i-2*half)]), float64(stereo[2*(i-2*half)+1])
			balance -= left*left - right*right
		}
		switch {
		case balance > 2: // beyond the ripple of the tones themselves; a alone has 9.6
			leftWas = true
		case balance < 0 && leftWas:
			return float64(i-half) / testRateHz
		}
	}
	return math.NaN()
}

// While nobody reads ahead, a voice fades when its head is used up, is silent, and is counted; once frames come again,
// it goes on where it would have been. Nothing old sounds twice. Events that cut the fade do not make it a step.
func TestMissedReads(t *testing.T) {
	press := []Event{NoteOn(0, 0, 69, 100)}
	t.Run("undisturbed", func(t *testing.T) { testMissedReads(t, press) })
	for frame := int64(28_000); frame < 100_000; frame += 3 {
		press = append(press, Control(frame, 0, 3, 0)) // moves nothing
	}
	t.Run("among events", func(t *testing.T) { testMissedReads(t, press) })
}

func testMissedReads(t *testing.T, events []Event) {
	const level, frames, readAgain = 0.3, 120_000, 64 * 1000
	p := sineProject(t, level)
	want := play(p.open(Settings{}), frames, events...)

	e := p.open(Settings{})
	list, got := NewList(events), make([]float32, 2*(frames+e.LatencyFrames()))
	for at := 0; at < len(got); at += 2 * 64 {
		if at/2 >= readAgain {
			e.Fill()
		}
		e.Render(got[at:min(at+2*64, len(got))], list)
	}
	got = got[2*e.LatencyFrames():]
	if misses := e.Stats().Misses; misses != 1 {
		t.Errorf("%d misses counted, expected 1", misses)
	}
	states := "" // s: as it should be; 0: silent; f: anything else, a fade
	for at := 0; at+2*64 <= len(got); at += 2 * 64 {
		same, silent := true, true
		for i := at; i < at+2*64; i++ {
			same, silent = same && got[i] == want[i], silent && got[i] == 0
		}
		state := "f"
		if same {
			state = "s"
		} else if silent {
			state = "0"
		}
		if len(states) == 0 || states[len(states)-1:] != state {
			states += state
		}
	}
	if states != "sf0fs" {
		t.Errorf("the note went %q, expected sound, fade, silence, fade, sound as if nothing had been missed", states)
	}
	most := level*2*math.Pi*440/testRateHz + level/CellFrames
	if first, _ := largestSteps(got); first > most*1.01 {
		t.Errorf("a step of %.4f between two samples, expected at most %.4f", first, most)
	}
}

// A chord of full-scale beds without headroom stays under −1 dBTP, measured eight times a frame by a meter of the
// test's own. 0.05 dB allow for what the four points a frame of ITU-R BS.1770-5 miss at 2 kHz and for its filter.
func TestLoudChordsStayUnderTheCeiling(t *testing.T) {
	p := newProject(t)
	p.zone("low", 69, 0.1, p.bed("one.wav", sineOf(seconds(1), 440, 0, 1)),
		p.bed("other.wav", sineOf(seconds(1), 440, 0.25, 1)))
	p.zone("high", 69, 0.6, "other.wav", "one.wav")
	p.AttackSec = 0
	var events []Event
	for i, key := range []byte{45, 52, 57, 61, 64, 69, 76, 81} {
		events = append(events, NoteOn(int64(1000*i), 0, key, 127))
	}
	out := play(p.open(Settings{}), seconds(0.6), append(events, Control(12000, 0, 1, 127), Bend(16000, 0, 16383))...)
	got := truePeakDB(out, fineFilter[:])
	t.Logf("%.3f dBTP", got)
	if got > CeilingDBTP+0.05 || got < -1.5 {
		t.Errorf("%.3f dBTP, expected −1", got)
	}
}
