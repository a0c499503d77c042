// From a file to whoever listens to it: its sound, block by block.

package decode

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
)

// Listener takes in the sound of a file, block by block.
type Listener interface {
	// Begin tells how the sound is stored (a Sound without a frame) and how many frames are likely to come, 0 where
	// nobody knows. It is called once more, and all that came before is void, where one decoder fails and another
	// takes over.
	Begin(form *Sound, frames int64) error
	// Add takes in a block, one slice of finite samples a channel, alike long. They are overwritten when it returns.
	Add(block [][]float32) error
}

// Span is a part of a file, in seconds from its first frame. The zero Span is the whole file.
type Span struct {
	FromSec float64
	ToSec   float64 // 0: to the end
}

// String gives the span as in "1.2 to 3.4 s", "" for the whole file.
func (s Span) String() string {
	text := func(sec float64) string { return strconv.FormatFloat(sec, 'f', -1, 64) }
	switch {
	case s == Span{}:
		return ""
	case s.ToSec == 0:
		return text(s.FromSec) + " s to the end"
	}
	return text(max(s.FromSec, 0)) + " to " + text(s.ToSec) + " s"
}

// frames are those of the span: from (inclusive) to to (exclusive), which may lie beyond the file's end.
func (s Span) frames(rateHz int) (from, to int64) {
	at := func(sec float64) int64 { return int64(min(math.Round(sec*float64(rateHz)), math.MaxInt64/2)) }
	from, to = at(s.FromSec), math.MaxInt64/2
	if s.ToSec > 0 {
		to = at(s.ToSec)
	}
	return from, to
}

// Walk decodes the sound file at path as File does, and hands the frames of a span on to a listener, in order. All of
// the file is decoded, so that what the Sound says of damage is said of the file; it holds no samples. An error of the
// listener's ends the walk and is returned as it is. A span that begins behind the file's end is an error.
func Walk(path string, span Span, to Listener) (*Sound, error) {
	file, size, err := openTake(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return WalkOpen(file, size, path, span, to)
}

// WalkOpen is Walk for a file that is open already, of so many bytes; path names it in errors, and to ffmpeg.
func WalkOpen(file io.ReaderAt, size int64, path string, span Span, to Listener) (*Sound, error) {
	in, err := newInput(file, size, path, output{path: path, span: span, to: to})
	if err != nil {
		return nil, err
	}
	s, err := in.decode()
	if err != nil {
		return nil, err
	}
	if in.out.frames == 0 {
		return nil, fmt.Errorf("%s: found %s without a single frame of sound, expected at least one; get the file "+
			"again from where it came from, or record it anew",
			path, s.Format)
	}
	if from, _ := span.frames(s.RateHz); from >= in.out.frames {
		return nil, fmt.Errorf("%s: found the stretch %s in a file of %.3f s, expected one that begins inside it; "+
			"correct from_s or to_s", path, span, in.out.seconds())
	}
	if err := in.out.tooWild(); err != nil {
		return nil, err
	}
	s.NotFinite = s.NotFinite || in.out.wild > 0
	return s, nil
}

// output is where a decoder puts its samples on their way to the listener.
type output struct {
	path     string
	span     Span
	to       Listener
	from, by int64 // frames of the span
	rateHz   int
	block    [][]float32
	frames   int64 // that have come so far
	refused  error // by the listener, or for being more than a take may hold: no other decoder is tried
	wildSamples
}

// begin tells the listener what comes: how it is stored, and how many frames are likely.
func (o *output) begin(form *Sound, frames int64) error {
	if err := checkForm(o.path, len(form.Channels), form.RateHz); err != nil {
		return err
	}
	*o = output{path: o.path, span: o.span, to: o.to, rateHz: form.RateHz, block: newChannels(len(form.Channels), 0)}
	o.from, o.by = o.span.frames(form.RateHz)
	o.refused = o.to.Begin(form, max(0, min(frames, o.by)-o.from))
	return o.refused
}

// add takes in whole interleaved frames.
func (o *output) add(interleaved []float32) error {
	block := o.room(len(interleaved) / len(o.block))
	deinterleave(block, interleaved)
	return o.give(block)
}

// room is a block of so many frames, to be filled and given.
func (o *output) room(frames int) [][]float32 {
	for c := range o.block {
		if cap(o.block[c]) < frames {
			o.block[c] = make([]float32, frames)
		}
		o.block[c] = o.block[c][:frames]
	}
	return o.block
}

// give hands on what of a block lies in the span.
func (o *output) give(block [][]float32) error {
	at, frames := o.frames, int64(len(block[0]))
	if o.refused = checkLimits(o.path, at+frames, len(block), o.rateHz); o.refused != nil {
		return o.refused
	}
	o.zeroWild(block)
	o.frames += frames
	first, last := min(max(0, o.from-at), frames), max(0, min(frames, o.by-at))
	if first >= last {
		return nil
	}
	part := make([][]float32, len(block))
	for c, channel := range block {
		part[c] = channel[first:last]
	}
	o.refused = o.to.Add(part)
	return o.refused
}

// seconds is the length of what has come so far.
func (o *output) seconds() float64 { return float64(o.frames) / float64(o.rateHz) }

// ErrLong is returned by PartUpTo for more samples than asked for.
var ErrLong = errors.New("longer than asked for")

// Part reads a span of the sound file at path, as File reads all of it.
func Part(path string, span Span) (*Sound, error) { return PartUpTo(path, span, maxSamples) }

// PartUpTo is Part for so many samples, of all channels together. More are ErrLong, which comes as soon as it is
// known.
func PartUpTo(path string, span Span, mostSamples int64) (*Sound, error) {
	k := &keeper{mostSamples: mostSamples}
	s, err := Walk(path, span, k)
	if err != nil {
		return nil, err
	}
	s.Channels = k.channels
	return s, nil
}

// Excerpt reads a span of the sound file at path as Part does, but nothing behind it: of damage there the Sound does
// not tell.
func Excerpt(path string, span Span) (*Sound, error) {
	k := &excerpt{keeper: keeper{mostSamples: maxSamples}, span: span}
	s, err := Walk(path, span, k)
	if errors.Is(err, errEnough) {
		s, err = &k.form, nil
	}
	if err != nil {
		return nil, err
	}
	s.Channels = k.channels
	return s, nil
}

// errEnough ends a walk that needs no more.
var errEnough = errors.New("all that was asked for is there")

// excerpt keeps what it hears of a span, and then wants no more.
type excerpt struct {
	keeper
	form Sound
	span Span
	left int64 // frames
}

func (e *excerpt) Begin(form *Sound, frames int64) error {
	from, to := e.span.frames(form.RateHz)
	e.form, e.left = *form, to-max(from, 0)
	return e.keeper.Begin(form, frames)
}

func (e *excerpt) Add(block [][]float32) error {
	if err := e.keeper.Add(block); err != nil {
		return err
	}
	if e.left -= int64(len(block[0])); e.left <= 0 {
		return errEnough
	}
	return nil
}

// keeper keeps what it hears.
type keeper struct {
	mostSamples int64
	channels    [][]float32
}

func (k *keeper) Begin(form *Sound, frames int64) error {
	if frames > k.mostSamples/int64(len(form.Channels)) {
		return ErrLong
	}
	k.channels = newChannels(len(form.Channels), 0)
	for c := range k.channels {
		k.channels[c] = make([]float32, 0, frames)
	}
	return nil
}

func (k *keeper) Add(block [][]float32) error {
	if int64(len(k.channels[0])+len(block[0])) > k.mostSamples/int64(len(block)) {
		return ErrLong
	}
	for c, channel := range block {
		k.channels[c] = append(k.channels[c], channel...)
	}
	return nil
}
