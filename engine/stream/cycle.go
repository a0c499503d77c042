// Package stream turns the beds of a map into endless cycles and brings their
// frames to the audio thread: the first stretch after every start from memory,
// the rest read ahead from disk into one ring a voice.
package stream

import (
	"errors"
	"fmt"
	"slices"
	"sort"

	"lapstrake/mapping"
	"lapstrake/mapping/wav"
)

// Bed is a finite stretch of interleaved stereo frames. ReadStereo fills dst
// with len(dst)/2 frames from posFrames on; several goroutines may call it. Frames
// that are not finite come as silence with a *wav.NotFiniteError; after any other
// error dst is not to be used.
type Bed interface {
	Name() string
	Frames() int64
	RateHz() int
	Mono() bool // it has one channel: both sides of its frames are alike
	ReadStereo(dst []float32, posFrames int64) error
}

// Cycle is the endless loop of one layer on one root: its beds joined by
// crossfades at every join, the last into the first. Frame 0 is the first frame
// at which the first bed sounds alone; each bed then sounds alone until its last
// overlap frames, which fade into the first overlap frames of the next.
//
// The player and the exporter read it through ReadFrames alone.
type Cycle struct {
	mapping.CycleLength
	beds    []Bed
	used    []int64 // frames used of each bed
	overlap int64
	begins  []int64 // cycle frame at which each bed begins to sound alone
	joins   []join  // joins[i] fades bed i into the next
}

// BedBegins is the frame of the cycle at which each bed begins to sound alone, in the order of the beds.
func (c *Cycle) BedBegins() []int64 { return slices.Clone(c.begins) }

// Mono says whether all beds of the cycle have one channel: both sides of its frames are then alike.
func (c *Cycle) Mono() bool {
	for _, bed := range c.beds {
		if !bed.Mono() {
			return false
		}
	}
	return true
}

// NewCycle joins beds with overlapFrames of crossfade at rateHz; beds of other
// rates are converted. bedFrames of each bed, at rateHz too, are used, all of it when
// that is 0.
func NewCycle(beds []Bed, rateHz int, overlapFrames, bedFrames int64) (*Cycle, error) {
	c := &Cycle{overlap: overlapFrames, joins: make([]join, len(beds))}
	c.RateHz = rateHz
	for _, bed := range beds {
		if bed.RateHz() != c.RateHz {
			converted, err := newConverted(bed, c.RateHz)
			if err != nil {
				return nil, err
			}
			bed = converted
		}
		used, err := usedFrames(bed, overlapFrames, bedFrames)
		if err != nil {
			return nil, err
		}
		c.beds = append(c.beds, bed)
		c.used = append(c.used, used)
		c.begins = append(c.begins, c.Frames)
		c.Frames = mapping.CycleFrames(c.used, overlapFrames)
	}
	return c, nil
}

func usedFrames(bed Bed, overlapFrames, bedFrames int64) (int64, error) {
	seconds := func(frames int64) float64 { return float64(frames) / float64(bed.RateHz()) }
	used := bed.Frames()
	if bedFrames > 0 {
		if used < bedFrames {
			return 0, fmt.Errorf("%s: lasts %.3f s: the map uses %.3f s of each bed; make the bed longer or bed_sec "+
				"smaller", bed.Name(), seconds(used), seconds(bedFrames))
		}
		used = bedFrames
	}
	if used < 2*overlapFrames || used == 0 {
		return 0, fmt.Errorf("%s: %d frames, %.3f s: expected at least twice the overlap, %.3f s; make the bed "+
			"longer or overlap_sec smaller",
			bed.Name(), used, seconds(used), 2*seconds(overlapFrames))
	}
	return used, nil
}

// ReadFrames fills dst with len(dst)/2 interleaved stereo frames from frame pos
// of the endless cycle on; any pos is legal. The same frames come whatever the
// pieces in which they are read. On an error the frames that could not be read
// are silent and the rest are delivered.
func (c *Cycle) ReadFrames(dst []float32, pos int64) error {
	pos %= c.Frames
	if pos < 0 {
		pos += c.Frames
	}
	var failed error
	for len(dst) > 0 {
		i := sort.Search(len(c.begins), func(i int) bool { return c.begins[i] > pos }) - 1
		into := pos - c.begins[i]
		alone := c.used[i] - 2*c.overlap
		var n int64
		var err error
		if into < alone {
			n = min(int64(len(dst)/2), alone-into)
			err = readOrSilence(c.beds[i], dst[:2*n], c.overlap+into)
		} else {
			n = min(int64(len(dst)/2), alone+c.overlap-into)
			err = c.readJoin(dst[:2*n], i, into-alone)
		}
		if err != nil && failed == nil {
			failed = err
		}
		dst = dst[2*n:]
		pos = (pos + n) % c.Frames
	}
	return failed
}

// BedError is a bed that could not be read. Err is what the bed said, a *wav.NotFiniteError where only single frames
// are missing.
type BedError struct {
	Bed Bed
	Err error
}

func (e *BedError) Error() string { return e.Err.Error() }

// Unwrap returns what the bed said.
func (e *BedError) Unwrap() error { return e.Err }

// readOrSilence reads from a bed. What cannot be read is silent, whatever dst held; the error is a *BedError.
func readOrSilence(bed Bed, dst []float32, posFrames int64) error {
	err := bed.ReadStereo(dst, posFrames)
	if err == nil {
		return nil
	}
	if !singleFrames(err) {
		clear(dst)
	}
	return &BedError{bed, err}
}

// singleFrames says whether an error of reading is about single frames, and all others are there.
func singleFrames(err error) bool {
	bad := (*wav.NotFiniteError)(nil)
	return errors.As(err, &bad)
}

// Alone is a stretch of a cycle in which one bed sounds, from the middle of the
// crossfade before it to the middle of the one after, in cycle frames; it may
// begin below 0.
type Alone struct {
	Bed      int
	From, To int64
}

// Stretches returns the cycle's beds in order with the frames at which each
// takes over from the one before.
func (c *Cycle) Stretches() []Alone {
	stretches := make([]Alone, len(c.beds))
	for i := range c.beds {
		from := c.begins[i] - c.overlap/2
		stretches[i] = Alone{Bed: i, From: from, To: from + c.used[i] - c.overlap}
	}
	return stretches
}

// BedsAt tells which bed sounds at a frame of the endless cycle, which comes next, and how far the join between the
// two has gone: 0 while the first sounds alone, up to 1. It allocates nothing.
func (c *Cycle) BedsAt(pos int64) (bed, next int, over float64) {
	pos %= c.Frames
	bed = len(c.begins) - 1
	for bed > 0 && c.begins[bed] > pos {
		bed--
	}
	next = (bed + 1) % len(c.beds)
	if into := pos - c.begins[bed] - (c.used[bed] - 2*c.overlap); into > 0 {
		over = float64(into) / float64(c.overlap)
	}
	return bed, next, over
}

// ReadBed reads what the cycle uses of one of its beds, crossfades not applied, as interleaved stereo at the cycle's
// rate.
func (c *Cycle) ReadBed(bed int) ([]float32, error) {
	stereo := make([]float32, 2*c.used[bed])
	if err := c.beds[bed].ReadStereo(stereo, 0); err != nil {
		return nil, &BedError{c.beds[bed], err}
	}
	return stereo, nil
}

// BedName is the name of one of the cycle's beds.
func (c *Cycle) BedName(bed int) string { return c.beds[bed].Name() }
