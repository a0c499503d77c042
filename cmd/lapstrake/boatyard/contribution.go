// Contributions: the files as they came in, each with what was wrong with it.

package boatyard

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"
)

// Contribution is one file that a neighbour sent.
type Contribution struct {
	Maker   Maker
	Path    string // folder of the contributor and name of the file, with slashes
	Key     int    // MIDI key that was meant
	Cents   float64
	Seconds float64
	RateHz  int
	Bits    int // of the file: 16, 24, or 32 for floats
	Defect  Defect

	seed  uint64
	layer string
}

// Defect is what is wrong with a file beyond its room, hiss and tuning.
type Defect string

const (
	None        Defect = ""
	Clipped     Defect = "clipped"
	Silent      Defect = "silent"
	Chord       Defect = "two keys at once"
	TooShort    Defect = "cut off at once"
	WrongOctave Defect = "the name says another octave"
	Duplicate   Defect = "the file before, again"
	Offset      Defect = "constant offset"
	Faint       Defect = "recorded far too low"
	LongLead    Defect = "long before anything sounds"
	Humming     Defect = "mains hum"
	Telephone   Defect = "8 kHz, one channel"
)

// defects has one for about every fourth file; the others are as good as they get.
var defects = map[int]Defect{
	3: Clipped, 8: WrongOctave, 12: LongLead, 16: Silent, 20: Humming,
	27: Offset, 31: Chord, 35: Faint, 39: Duplicate, 41: TooShort, 43: Telephone,
}

const defectsEvery = 48

// goldenTurn spreads the keys evenly, however many there are.
const goldenTurn = 0.6180339887498949

// Contributions lists the first count files that came in. The same count gives the same files, and a larger one the
// same first.
func Contributions(count int) []Contribution {
	makers := Makers()
	all := make([]Contribution, count)
	for i := range all {
		m := makers[i%len(makers)]
		_, place := math.Modf(0.3 + goldenTurn*float64(i))
		_, off := math.Modf(0.1 + goldenTurn*11*float64(i))
		c := Contribution{
			Maker: m, Key: m.lowKey + int(place*float64(m.highKey-m.lowKey+1)), Cents: math.Round(76*off - 38),
			Seconds: 8 + math.Floor(4*place), RateHz: []int{48000, 44100, 48000, 96000}[i%4], Bits: []int{24, 16,
				24, 32}[i/2%4],
			Defect: defects[i%defectsEvery], seed: uint64(i + 1), layer: layerOf(m, i/len(makers)),
		}
		if m.Kind == Noisy && (c.Defect == Chord || c.Defect == WrongOctave) {
			c.Defect = None // there is no key to be wrong
		}
		if m.Kind == Struck {
			c.Seconds = math.Ceil(m.tailSec) + 1
		}
		if c.Defect == Duplicate && i > 0 {
			before := all[i-1]
			before.Defect, before.Path = Duplicate, c.named(i)
			c = before
		}
		if c.Defect == Telephone {
			c.RateHz = 8000
		}
		c.Path = c.named(i)
		all[i] = c
	}
	return all
}

// layerOf has those who suit both layers play for either in turn.
func layerOf(m Maker, round int) string {
	if m.Soft && (!m.Loud || round%2 == 0) {
		return "soft"
	}
	return "loud"
}

// named is the path: what the contributor is called, what it is, the key's name where there is one, and a number.
func (c Contribution) named(i int) string {
	name := slug(c.Maker.Title)
	if c.Maker.Kind != Noisy {
		octave := c.Key/12 - 1
		if c.Defect == WrongOctave {
			octave--
		}
		name += "-" + []string{"C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#",
			"B"}[c.Key%12] + fmt.Sprint(octave)
	}
	who, _, _ := strings.Cut(c.Maker.Contributor, ",")
	return fmt.Sprintf("%s/%02d-%s.wav", slug(who), i+1, name)
}

// slug keeps letters and digits, and a hyphen between words.
func slug(text string) string {
	words := strings.FieldsFunc(strings.ToLower(text),
		func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	return strings.Join(words, "-")
}

// Channels is 1 for what was recorded in mono, else 2.
func (c Contribution) Channels() int {
	if c.Maker.tape.mono || c.Defect == Telephone {
		return 1
	}
	return 2
}

// Samples renders the file's samples, interleaved.
func (c Contribution) Samples() []float32 {
	stereo := c.play(c.Key)
	switch c.Defect {
	case Clipped:
		for i, x := range stereo {
			stereo[i] = min(max(8*x, -1), 1)
		}
	case Silent:
		clear(stereo)
	case Chord:
		for i, x := range c.play(c.Key + 4) {
			stereo[i] = (stereo[i] + x) / 2
		}
	case TooShort:
		stereo = stereo[c.RateHz/2*2:][:c.RateHz/25*2]
	case Offset:
		for i, x := range stereo {
			stereo[i] = 0.7*x + 0.05
		}
	case Faint:
		for i, x := range stereo {
			stereo[i] = 0.01 * x
		}
	case LongLead:
		lead := make([]float32, 2*3*c.RateHz)
		hiss := newNoise(c.seed, 1)
		for i := range lead {
			lead[i] = float32(2e-4 * hiss.between(-1, 1))
		}
		stereo = append(lead, stereo...)
	case Humming:
		for i := range stereo {
			angle := 2 * math.Pi * 50 * float64(i/2) / float64(c.RateHz)
			stereo[i] += float32(0.01*math.Sin(angle) + 0.006*math.Sin(3*angle))
		}
	}
	if c.Channels() == 2 {
		return stereo
	}
	mono := make([]float32, len(stereo)/2)
	for i := range mono {
		mono[i] = (stereo[2*i] + stereo[2*i+1]) / 2
	}
	return mono
}

// play has the maker play, as much out of tune as he was: rendered for another rate than the file's, the sound comes
// out by that ratio higher or lower.
func (c Contribution) play(key int) []float32 {
	rate := int(math.Round(float64(c.RateHz) * math.Exp2(-c.Cents/1200)))
	return slices.Clone(c.Maker.In(c.layer).Take(key, c.Seconds, rate, c.seed))
}
