// Takes longer than memory should hold: their levels are measured as they pass by, the rest on a part of them.

package measure

import (
	"errors"
	"math"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
)

const (
	longSamples = 5 * 60 * 48000 * 2 // of all channels together: a take that has more is long
	partSamples = 3 * 60 * 48000 * 2 // of a long take, so much is looked at
	partLeadSec = 5                  // of it before the sound, for the noise
	marginSec   = 2                  // around the sound of a long take that a bed may need
)

// MostBytes is how much decoded sound File holds at most.
const MostBytes = 4 * longSamples

// File measures a span of the sound file at path. The Sound tells how it is stored and whether it is damaged.
//
// A long take (Measures.Long) is not kept in memory. Its length, peaks, offset, clipping and loudness are those of all
// of it. All else is found in a part of three minutes of 48 kHz stereo, from shortly before the sound begins, as Take
// would find it there; and where somebody speaks in it, everything is, so that the speech is left out.
func File(path string, span decode.Span) (Measures, *decode.Sound, error) {
	return measureFile(path, span, longSamples, partSamples)
}

func measureFile(path string, span decode.Span, longSamples, partSamples int64) (Measures, *decode.Sound, error) {
	s, err := decode.PartUpTo(path, span, longSamples)
	switch {
	case err == nil:
		return Take(s), s, nil
	case !errors.Is(err, decode.ErrLong):
		return Measures{}, nil, err
	}
	var all survey
	if _, err := decode.Walk(path, span, &all); err != nil {
		return Measures{}, nil, err
	}
	if all.levels.frames*int64(len(all.levels.channels)) <= longSamples { // the file holds less than it declares
		if s, err = decode.Part(path, span); err != nil {
			return Measures{}, nil, err
		}
		return Take(s), s, nil
	}
	part := all.part(int(partSamples))
	form, err := decode.Walk(path, span, part)
	if err != nil {
		return Measures{}, nil, err
	}
	inMemory := *form
	inMemory.Channels = part.channels
	m := Take(&inMemory)
	if !m.Speech {
		all.levels.fill(&m)
		all.clipping.fill(&m, m.RateHz)
		m.fillLoudness(all.meter)
	}
	m.Seconds = float64(all.levels.frames) / float64(m.RateHz)
	m.OnsetSec += float64(part.from) / float64(m.RateHz)
	m.EndSec += float64(part.from) / float64(m.RateHz)
	return m, form, nil
}

// Long says whether the take is so long that most of it was measured, and is used, in part: from five minutes of 48
// kHz stereo up.
func (m *Measures) Long() bool {
	return math.Round(m.Seconds*float64(m.RateHz))*float64(m.Channels) > longSamples
}

// Used is the span of the take that beds are made of: all of it, or of a long take the sound that was found in the
// part, with a little around it.
func (m *Measures) Used() decode.Span {
	switch {
	case !m.Long():
		return decode.Span{}
	case math.IsNaN(m.OnsetSec):
		return decode.Span{ToSec: marginSec}
	}
	return decode.Span{FromSec: max(0, m.OnsetSec-marginSec), ToSec: min(m.EndSec+marginSec, m.Seconds)}
}

// StrikesIn is Strikes of the sound file at path. In a long one they are told from its level alone, to 5 ms.
func StrikesIn(path string) ([]Strike, error) { return strikesIn(path, longSamples) }

func strikesIn(path string, longSamples int64) ([]Strike, error) {
	s, err := decode.PartUpTo(path, decode.Span{}, longSamples)
	if err == nil {
		return Strikes(s), nil
	} else if !errors.Is(err, decode.ErrLong) {
		return nil, err
	}
	var all survey
	if _, err := decode.Walk(path, decode.Span{}, &all); err != nil {
		return nil, err
	}
	b := all.course()
	first, last, found := b.coarse()
	if !found {
		return nil, nil
	}
	// The sound certainly is in these blocks; its edges are where the level does not fall any further.
	for first > 0 && b.slow[first-1] < b.slow[first] {
		first--
	}
	for last < len(b.slow)-1 && b.slow[last+1] < b.slow[last] {
		last++
	}
	frames := int(all.levels.frames)
	return b.strikes(first*b.lengthFrames, min((last+1)*b.lengthFrames, frames), all.rateHz, frames), nil
}

// survey hears all of a take.
type survey struct {
	rateHz   int
	levels   *levels
	meter    *sound.Meter
	clipping *clipping
	courses  []*blocks // of each channel, above the rumble
	bits     int
}

func (v *survey) Begin(form *decode.Sound, _ int64) error {
	channels := len(form.Channels)
	*v = survey{rateHz: form.RateHz, bits: form.Bits, levels: newLevels(channels),
		meter: sound.NewMeter(form.RateHz, sound.ChannelWeights(channels))}
	for range channels {
		v.courses = append(v.courses, &blocks{lengthFrames: blockFrames(form.RateHz),
			above: newAboveRumble(form.RateHz)})
	}
	return nil
}

func (v *survey) Add(block [][]float32) error {
	v.levels.add(block)
	v.meter.Add(block...)
	for c, channel := range block {
		v.courses[c].add(channel)
	}
	return nil
}

// part chooses where to look, at so many samples of all channels together, and is ready to hear the take once more.
func (v *survey) part(partSamples int) *partKeeper {
	v.clipping = v.levels.clipping(tolerance(v.bits))
	p := &partKeeper{clipping: v.clipping, channels: make([][]float32, len(v.courses))}
	all, length := int(v.levels.frames), partSamples/len(v.courses)
	if first, _, found := v.course().coarse(); found {
		p.from = first*blockFrames(v.rateHz) - partLeadSec*v.rateHz
	}
	p.from = min(max(0, p.from), all-length)
	p.to = p.from + length
	v.courses = nil
	return p
}

// course is that of all channels together.
func (v *survey) course() *blocks {
	sum := &blocks{lengthFrames: blockFrames(v.rateHz)}
	for c, course := range v.courses {
		course.end()
		if c == 0 {
			sum.power = make([]float64, len(course.power))
		}
		for i, power := range course.power {
			sum.power[i] += power / float64(len(v.courses))
		}
	}
	sum.smoothen()
	return sum
}

// partKeeper keeps the frames from … to of a take, and has all of it looked through for clipping.
type partKeeper struct {
	from, to int
	at       int // frames heard so far
	clipping *clipping
	channels [][]float32
}

func (p *partKeeper) Begin(*decode.Sound, int64) error {
	p.at = 0
	for c := range p.channels {
		p.channels[c] = make([]float32, 0, p.to-p.from)
	}
	return nil
}

func (p *partKeeper) Add(block [][]float32) error {
	p.clipping.add(block)
	frames := len(block[0])
	first, last := min(max(0, p.from-p.at), frames), max(0, min(frames, p.to-p.at))
	p.at += frames
	for c := range block {
		if first < last {
			p.channels[c] = append(p.channels[c], block[c][first:last]...)
		}
	}
	return nil
}
