// Where clicks come from: what a take of the bed has at that place is no click of the bed.

package check

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"

	"lapstrake/engine/stream"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
)

const (
	sourceReach = 40    // frames on either side of a click by which it is known again
	sameSound   = 0.85  // correlation from which on it is
	fadeSec     = 0.001 // at both ends of a take: no build cuts more sharply
	mostPeakDB  = 12    // dBFS that a take would have in the bed: one that would have to be louder is not its source
)

// sourced leaves those clicks of a cycle out that are beyond the limit and that a take of the bed has: an onset that
// lies beneath a lead looks like a click, and a click of a take is the take's.
func (s *subject) sourced(zone, layer int, found []click) (kept []click, err error) {
	c, paths := s.cycle(zone, layer), s.m.Zones[zone].Beds[s.m.Layers[layer]]
	for _, k := range found {
		if k.OverDB > s.limits.ClickDB[0] {
			bed, _ := bedPlace(c, k.Frame, s.m.OverlapSec)
			is, err := s.hasSource(c, &k, s.contents[paths[bed]].Takes)
			if err != nil {
				return nil, err
			}
			if is {
				continue
			}
		}
		kept = append(kept, k)
	}
	return kept, nil
}

// takesKey tells the takes of a cycle's beds apart.
func (s *subject) takesKey(zone, layer int) (key string) {
	for _, path := range s.m.Zones[zone].Beds[s.m.Layers[layer]] {
		for _, take := range s.contents[path].Takes {
			key += fmt.Sprint(" ", take.Hash, take.Stretch)
		}
	}
	return key
}

// hasSource looks for a click of a cycle in the takes of the bed that leads there, by the errors that the bed's own
// model makes of both: a matched filter (Turin 1960, IRE Transactions on Information Theory 6, 311–329), whose answer
// does not depend on the level. A take is heard through the same model, moved as it is in the bed.
func (s *subject) hasSource(c *stream.Cycle, k *click, held []beds.TakeInBed) (bool, error) {
	f := newClickFinder(c.RateHz)
	reach := (f.margin()/clickCell + 1) * clickCell
	both, one := make([]float32, 2*(2*reach+clickCell)), make([]float32, 2*reach+clickCell)
	if err := c.ReadFrames(both, k.Frame-int64(reach)); err != nil {
		return false, err
	}
	for i := range one {
		one[i] = both[2*i+k.Side]
	}
	f.find(one)
	f.p.learn(f.calm, reach)
	like := f.errorsAround(one, reach, sourceReach)
	for _, take := range held {
		if s.likenessIn(take, f.p, like, c.RateHz) >= sameSound {
			return true, nil
		}
	}
	return false, nil
}

// likenessIn is the correlation of some errors with those that a model makes of a take, where they are the most alike;
// 0 where the take cannot be read any more.
func (s *subject) likenessIn(take beds.TakeInBed, p *predictor, like []float32, rateHz int) (rho float64) {
	part, err := s.readTake(take)
	if err != nil {
		return 0
	}
	ratio := float64(rateHz) / float64(part.RateHz)
	if take.Move != nil {
		ratio *= math.Exp2(-*take.Move / 12)
	}
	channels := part.Channels
	if len(channels) == 2 {
		middle := make([]float32, part.Frames())
		for i := range middle {
			middle[i] = channels[0][i] + channels[1][i]
		}
		channels = append(channels, middle)
	}
	for _, channel := range channels {
		fadeEnds(channel, int(fadeSec*float64(part.RateHz)))
		mostGain := sound.DBToAmplitude(mostPeakDB) / max(float64(sound.Peak(channel)), 1e-9)
		moved := [][]float32{channel}
		sound.Resample(moved, ratio)
		silence := make([]float32, 2*(predictOrder+sourceReach)) // before it and after it
		rho = max(rho, mostLike(p, slices.Concat(silence, moved[0], silence), like, mostGain))
	}
	return rho
}

// readTake reads a take as it was recorded.
func (s *subject) readTake(take beds.TakeInBed) (*decode.Sound, error) {
	return decode.Part(filepath.Join(filepath.Dir(s.MapPath), project.TakesFolder, filepath.FromSlash(take.Path)),
		take.Stretch.Span())
}

// fadeEnds fades both ends of a take.
func fadeEnds(channel []float32, frames int) {
	for i := range min(frames, len(channel)/2) {
		gain := float32(sound.HannEven(i, 2*frames))
		channel[i] *= gain
		channel[len(channel)-1-i] *= gain
	}
}

// mostLike is the correlation of some errors with those of samples where these are the most like them; they may have
// been turned upside down. Where samples would need more gain than mostGain to be as loud, they are not alike.
func mostLike(p *predictor, samples, like []float32, mostGain float64) (rho float64) {
	frames := len(samples) - 2*predictOrder
	if frames < len(like) {
		return 0
	}
	errors := make([]float32, frames)
	p.errors(errors, samples, predictOrder)
	power := 0.0
	for _, e := range errors[:len(like)] {
		power += float64(e) * float64(e)
	}
	own := sound.MeanSquare(like) * float64(len(like))
	for from := 0; ; from++ {
		product := dot(errors[from:][:len(like)], like)
		if power*mostGain*mostGain > own && product*product > rho*rho*power*own {
			rho = math.Abs(product) / math.Sqrt(power*own)
		}
		if from+len(like) >= frames {
			return rho
		}
		gone, come := float64(errors[from]), float64(errors[from+len(like)])
		power = max(power+come*come-gone*gone, 0)
	}
}

// dot is the sum of the products of two slices alike long.
func dot(a, b []float32) float64 {
	var s0, s1, s2, s3 float32
	n := len(a) &^ 3
	for i := 0; i < n; i += 4 {
		x, y := a[i:i+4:i+4], b[i:i+4:i+4]
		s0 += x[0] * y[0]
		s1 += x[1] * y[1]
		s2 += x[2] * y[2]
		s3 += x[3] * y[3]
	}
	for i := n; i < len(a); i++ {
		s0 += a[i] * b[i]
	}
	return float64(s0 + s1 + s2 + s3)
}
