// Prolonging: a short held take sounds on for as long as it is needed, by crossfades between places that fit.

package arrange

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	evenSec     = 0.35 // over so long the level is evened out where a take is prolonged
	evenMostDB  = 9.0
	fadeMostSec = 0.16
	fadeLeast   = 0.4  // of the longest
	jumpSec     = 0.05 // the least distance of a jump: a shorter one would be a repeat at once
)

// piece is a stretch of a take that is played as it is; it fades in over the last `fade` frames of the one before.
type piece struct {
	atFrame    int // bed's frame
	fromFrame  int // take's frame
	fadeFrames int
	rho        float64 // correlation of the two sides of the fade
}

// prolong fills a.voice with one voice of a held part, as long as the bed: the take itself from an irregular place on
// if it lasts; else drawn out by the vocoder, or pieces of irregular lengths, joined where the take is most like
// itself. Copies keep clear of where the copies before them are.
func (a *arranger) prolong(part, voice, copies int) {
	s := &a.materials[part]
	if voice == 0 {
		a.paths = a.paths[:0]
	}
	c := newChance(a.seed, forVoice, s.index, voice)
	region := detuned(stem{s.left[s.fromFrame:s.toFrame], s.right[s.fromFrame:s.toFrame]},
		copyCents(voice, copies, a.settings.DoubleCents))
	length := len(region.left)
	apart := min(int(a.settings.DoubleMs/1000*float64(a.rateHz)), length/(4*copies)) // a short take has no more room
	if slack := length - a.frames; slack >= copies*2*apart || slack >= 0 && copies == 1 {
		each := slack / copies
		order := newChance(a.seed, forVoice, s.index, 255).order(copies)
		begin := order[voice]*each + c.below(max(each-apart, 1))
		a.paths = append(a.paths, []piece{{fromFrame: begin}})
		copy(a.voice.left, region.left[begin:])
		copy(a.voice.right, region.right[begin:])
		return
	}
	even(region, a.rateHz)
	if s.drawn {
		newVocoder(region, a.rateHz).draw(&a.voice, c)
		a.noteBeating(part, nil)
		return
	}
	a.splicer.learn(region, a.rateHz)
	pieces := a.path(length, voice, copies, apart, c)
	a.paths = append(a.paths, pieces)
	a.voice.clear()
	a.voice.join(region, pieces)
	a.noteBeating(part, pieces)
}

// path chooses the pieces.
func (a *arranger) path(length, voice, copies, apart int, c chance) []piece {
	longest := min(int(fadeMostSec*float64(a.rateHz)), length/6)
	least := max(length/8, 2*longest)
	begin := int(float64(length) * 0.6 * (float64(voice) + c.unit()) / float64(copies))
	pieces := []piece{{fromFrame: begin}}
	at, from := 0, begin // what plays now: the take's frame from + t − at at the bed's frame t
	for {
		left := length - from // frames that this piece can still give
		play := left
		if left > least+longest {
			play = least + longest + c.below(left-least-longest)
		}
		fade := int(float64(longest) * c.between(fadeLeast, 1))
		end := at + play // of the piece; the next one begins a fade earlier
		if end >= a.frames {
			return pieces
		}
		next := end - fade
		leaving := from + play - fade
		to, rho := a.splicer.find(leaving, fade, length-least-fade, a.taken(next, apart), c)
		pieces = append(pieces, piece{atFrame: next, fromFrame: to, fadeFrames: fade, rho: rho})
		at, from = next, to
	}
}

// taken gives the take's frames at which earlier copies are at a bed's frame, and how far to keep away.
func (a *arranger) taken(at, apart int) []int {
	var out []int
	for _, path := range a.paths {
		k := len(path) - 1
		for k > 0 && path[k].atFrame > at {
			k--
		}
		out = append(out, path[k].fromFrame+at-path[k].atFrame)
	}
	a.splicer.apartFrames = apart
	return out
}

// join plays the pieces: quarter waves, whose sum is brought to constant power by the correlation of its two sides.
func (s *stem) join(take stem, pieces []piece) {
	for k, p := range pieces {
		end := min(len(s.left), p.atFrame+len(take.left)-p.fromFrame)
		fadeOut, rho := 0, 0.0
		if k+1 < len(pieces) {
			fadeOut, rho = pieces[k+1].fadeFrames, pieces[k+1].rho
			end = pieces[k+1].atFrame + fadeOut
		}
		stop := min(end, len(s.left))
		copyFrom := p.atFrame + p.fadeFrames
		plainEnd := min(end-fadeOut, stop)
		fadeRange(p.fadeFrames, p.rho, func(i int, in, _ float32) {
			if at := p.atFrame + i; at < stop {
				s.left[at] += in * take.left[p.fromFrame+i]
				s.right[at] += in * take.right[p.fromFrame+i]
			}
		})
		if plainEnd > copyFrom {
			copy(s.left[copyFrom:plainEnd], take.left[p.fromFrame+p.fadeFrames:])
			copy(s.right[copyFrom:plainEnd], take.right[p.fromFrame+p.fadeFrames:])
		}
		fadeRange(fadeOut, rho, func(i int, _, out float32) {
			if at := end - fadeOut + i; at < stop {
				s.left[at] += out * take.left[p.fromFrame+at-p.atFrame]
				s.right[at] += out * take.right[p.fromFrame+at-p.atFrame]
			}
		})
	}
}

// fadeRange gives the two gains of a crossfade, frame by frame: quarter waves over √(1 + 2ρ·in·out), which keeps the
// power of the sum constant for sides of correlation ρ.
func fadeRange(frames int, rho float64, use func(i int, in, out float32)) {
	if frames == 0 {
		return
	}
	step := math.Pi / 2 / float64(frames)
	turnSin, turnCos := math.Sincos(step)
	sin, cos := math.Sincos(step / 2)
	for i := range frames {
		norm := 1 / math.Sqrt(1+2*rho*sin*cos)
		use(i, float32(sin*norm), float32(cos*norm))
		sin, cos = sin*turnCos+cos*turnSin, cos*turnCos-sin*turnSin
	}
}

// even brings the level of a stretch of a take to its mean, slowly, so that joining its beginning to its end makes no
// step. region is overwritten.
func even(region stem, rateHz int) {
	s := material{stem: region}
	powers := s.envelope(rateHz)
	mean := 0.0
	for _, p := range powers {
		mean += p / float64(len(powers))
	}
	if mean == 0 {
		return
	}
	reach := int(math.Round(evenSec / envelopeSec / 2))
	sums := make([]float64, len(powers)+1)
	for k, p := range powers {
		sums[k+1] = sums[k] + p
	}
	gain := func(k int) float32 {
		k = min(max(k, 0), len(powers)-1)
		low, high := max(k-reach, 0), min(k+reach+1, len(powers))
		local := (sums[high] - sums[low]) / float64(high-low)
		most := sound.DBToPower(evenMostDB)
		return float32(math.Sqrt(min(max(mean/(local+1e-30), 1/most), most)))
	}
	step := envelopeFrames(rateHz)
	for k := range powers {
		from, to := gain(k), gain(k+1)
		slope := (to - from) / float32(step)
		for _, channel := range region.channels() {
			g := from
			for i := k * step; i < min((k+1)*step, len(channel)); i++ {
				channel[i] *= g
				g += slope
			}
		}
	}
}
