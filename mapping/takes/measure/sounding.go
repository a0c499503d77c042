// Where in a take the sound begins and ends.

package measure

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
)

const (
	blockSec      = 0.005
	silentPower   = 1e-8  // −80 dBFS: what never rises above it is silence
	coarseMostDB  = 25    // the coarse search asks for a level at most this far under the highest,
	coarseLeastDB = 4     // and at least this far
	coarseHoldSec = 0.04  // in which a sound, unlike a click before it, stays up more than half the time
	guardSec      = 0.03  // kept away from the edge when the noise beside it is learnt
	learnFrames   = 200   // spectra that the noise is learnt from
	learnSec      = 0.06  // of sound that its spectrum is learnt from
	attackSpanSec = 1.5   // how far after the onset the level that thresholds refer to is looked for
	spectralFloor = 1e-6  // of the sound's power, spread over all bins: what no measurement looks below
	quietSpread   = 3     // noise goes this much above its quietest twentieth
	pauseLeastSec = 0.015 // of noise that says something about it
	slowReach     = 8     // blocks to both sides that slow takes in
	plateauSec    = 0.06  // of noise after digital silence that says something about it
	plateauSpread = 4     // noise after digital silence stays within this many times its quietest
)

// edgeSearch says how one end of a sound is looked for.
type edgeSearch struct {
	windowSec float64 // length of the spectra
	gapSec    float64 // silence that ends the sound
	floorDB   float64 // under the highest level: where a sound without noise begins or ends
	spread    float64 // standard deviations above the noise that count as sound; the tail of a few bins is long
	direction int     // of the walk away from the sound
}

// The beginning is sharp; the end of most sounds is not, and the ear misses less of it.
var (
	onsetSearch = edgeSearch{windowSec: 0.0053, gapSec: 0.020, floorDB: 40, spread: 4.5, direction: -1}
	endSearch   = edgeSearch{windowSec: 0.0213, gapSec: 0.100, floorDB: 60, spread: 7, direction: +1}
)

// blocks are the means and mean squares of a sound in steps of 5 ms.
type blocks struct {
	lengthFrames int // frames
	power        []float64
	mean         []float64
	smooth       []float64 // the same over 20 ms
	slow         []float64 // the same over 85 ms: what is quiet for so long is a pause
	open         openBlock
	above        *aboveRumble // nil: of all frequencies
}

func newBlocks(samples []float32, rateHz int) *blocks { return blocksOf(samples, rateHz, nil) }

// blocksOf are the blocks of samples, or of what a filter lets through of them.
func blocksOf(samples []float32, rateHz int, above *aboveRumble) *blocks {
	b := &blocks{lengthFrames: blockFrames(rateHz), above: above}
	count := (len(samples) + b.lengthFrames - 1) / b.lengthFrames
	b.power, b.mean = make([]float64, 0, count), make([]float64, 0, count)
	b.add(samples)
	b.end()
	b.smoothen()
	return b
}

func blockFrames(rateHz int) int { return max(1, int(math.Round(blockSec*float64(rateHz)))) }

// openBlock is the block that samples are being added to.
type openBlock struct {
	frames       int
	sum, squares float64
}

// add takes in the sound's next samples.
func (b *blocks) add(samples []float32) {
	for len(samples) > 0 {
		part := samples[:min(len(samples), b.lengthFrames-b.open.frames)]
		samples = samples[len(part):]
		sum, squares := b.open.sum, b.open.squares
		for _, sample := range part {
			x := float64(sample)
			if b.above != nil {
				x = b.above.next(x)
			}
			sum += x
			squares += x * x
		}
		if b.open = (openBlock{b.open.frames + len(part), sum, squares}); b.open.frames == b.lengthFrames {
			b.end()
		}
	}
}

// end closes the open block, be it whole or not.
func (b *blocks) end() {
	if b.open.frames > 0 {
		b.mean = append(b.mean, b.open.sum/float64(b.open.frames))
		b.power = append(b.power, b.open.squares/float64(b.open.frames))
	}
	b.open = openBlock{}
}

// smoothen fills in smooth and slow.
func (b *blocks) smoothen() {
	b.smooth, b.slow = make([]float64, len(b.power)), make([]float64, len(b.power))
	for i := range b.smooth {
		b.smooth[i] = mean(b.power[max(0, i-1):min(len(b.power), i+3)])
		b.slow[i] = mean(b.power[max(0, i-slowReach):min(len(b.power), i+slowReach+1)])
	}
}

// findSounding finds the first and the last frame of the sound; found is false when there is none. It looks first at
// the level alone, which cannot miss but is late; from there it walks outward with spectra, weighing each bin
// by how far the sound stands above the noise in it, until the sound is lost in the noise or 40 dB (60 at the end)
// under its highest level. A beginning that is lost in the noise is followed further down (see beforeNoise).
//
// The onset is the physical one, the moment at which the amplitude exceeds the background (Wright 2008, as Frontiers
// in Psychology 9:1692, 2018, cites it). The perceptual one comes later: Rasch (1979, from memory in Acustica 43) puts
// it where the level passes 15 to 20 dB under the highest. Where the recording is quieter than that, the background is
// what lies 40 dB under the attack's highest level.
func findSounding(samples []float32, rateHz int, b *blocks) (onset, end int, found bool) {
	first, last, found := b.coarse()
	if !found {
		return 0, 0, false
	}
	onset = onsetSearch.edge(samples, rateHz, b, first)
	onset = riseSearch.beforeNoise(samples, rateHz, b, first, onset)
	end = endSearch.edge(samples, rateHz, b, last)
	return onset, max(onset+1, end), true
}

// coarse gives the first and the last block in which the sound is certainly there; found is false when there is none.
func (b *blocks) coarse() (first, last int, found bool) {
	if len(b.power) == 0 || slices.Max(b.smooth) < silentPower {
		return 0, 0, false
	}
	top := slices.Index(b.smooth, slices.Max(b.smooth))
	first = b.rises(b.sureLevel(b.smooth[top], 0, top+1), 0, +1)
	last = b.rises(b.sureLevel(b.smooth[top], top, len(b.power)), len(b.power)-1, -1)
	return first, last, true
}

// sureLevel is half-way, in decibels, between the quiet of one side of the loudest moment, the blocks from … to, and
// that moment.
func (b *blocks) sureLevel(highest float64, from, to int) float64 {
	sorted := slices.Sorted(slices.Values(b.slow[from:to]))
	quiet := max(sorted[len(sorted)/50], highest*1e-10)
	if floor, found := b.noisePlateau(from, to); found {
		quiet = floor
	}
	underDB := min(max(sound.PowerDB(highest/quiet)/2, coarseLeastDB), coarseMostDB)
	return highest * sound.DBToPower(-underDB)
}

// noisePlateau is the level of the noise that begins after digital silence, or ends in it: the quiet of what is no
// silence, where it lasts. A sound that swells out of silence does not stay at its quietest.
func (b *blocks) noisePlateau(from, to int) (level float64, found bool) {
	var heard []float64
	silent, lastSilent := 0, from-slowReach-1
	for i := from; i < to; i++ {
		if b.power[i] < digitalSilence {
			silent++
			lastSilent = i
			heard = heard[:max(0, len(heard)-slowReach)] // those whose surroundings reach into the silence
		} else if i-lastSilent > slowReach {
			heard = append(heard, b.slow[i])
		}
	}
	if silent == 0 || len(heard) == 0 {
		return 0, false
	}
	slices.Sort(heard)
	quietest := len(heard) / 50
	lasting, _ := slices.BinarySearch(heard, plateauSpread*heard[quietest])
	return heard[quietest], float64(lasting-quietest)*blockSec >= plateauSec
}

// rises walks from one end to the first block above a threshold after which more than half the blocks stay above it;
// to the first above it when none is like that.
func (b *blocks) rises(threshold float64, from, step int) int {
	const hold = int(coarseHoldSec / blockSec)
	fallback := -1
	for i := from; i >= 0 && i < len(b.smooth); i += step {
		if b.smooth[i] < threshold {
			continue
		}
		if fallback < 0 {
			fallback = i
		}
		above := 0
		for k := 0; k < hold; k++ {
			if j := i + k*step; j >= 0 && j < len(b.smooth) && b.smooth[j] >= threshold {
				above++
			}
		}
		if 2*above > hold {
			return i
		}
	}
	return max(0, fallback)
}

// edge walks from a block in which the sound certainly is to its edge, and gives that in frames.
func (e edgeSearch) edge(samples []float32, rateHz int, b *blocks, sure int) int {
	analyser := sound.BorrowSpectrum(sound.PowerOfTwo(e.windowSec, rateHz))
	defer analyser.GiveBack()
	learnt := e.learn(samples, rateHz, b, sure, analyser)
	hop := max(1, analyser.SizeFrames/4)
	gap := int(e.gapSec * float64(rateHz) / float64(hop))
	at := sure*b.lengthFrames + b.lengthFrames/2
	edge, missed := at, 0
	for position := at; position > -analyser.SizeFrames/2 &&
		position < len(samples)+analyser.SizeFrames/2; position += e.direction * hop {
		if learnt.hears(analyser.At(samples, position)) {
			edge, missed = position, 0
		} else if missed++; missed > gap {
			break
		}
	}
	// The window hears a sharp edge when it reaches over it by somewhat less than half.
	edge -= e.direction * analyser.SizeFrames / 4
	return min(max(0, edge), len(samples))
}

// learntSound tells sound from the noise beside it, by two sums over the bins of a power spectrum. One is a matched
// filter: for noise of mean power n in a bin, whose spread is as large as its mean, the best weight of a sound of
// power s is s/n² (weighted least squares); it hears partials deep in noise. The other adds all bins alike; it hears
// what sounds unlike the rest, such as breath before a tone.
type learntSound struct {
	noise, weight []float64
	matched, all  float64 // thresholds
	noiseSpread   float64 // standard deviation of the matched sum of noise alone
	quietest      float64 // matched sum at which a sound without noise begins or ends
}

func (l *learntSound) sums(power []float64) (matched, all float64) {
	for i, p := range power {
		over := p - l.noise[i]
		matched += l.weight[i] * over
		all += over
	}
	return matched, all
}

func (l *learntSound) hears(power []float64) bool {
	matched, all := l.sums(power)
	return matched > l.matched || all > l.all
}

// learn finds the sound's spectrum just inside a block and the noise's outside it.
func (e edgeSearch) learn(samples []float32, rateHz int, b *blocks, sure int, analyser *sound.Spectrum) *learntSound {
	bins := len(analyser.Power)
	l := &learntSound{noise: make([]float64, bins), weight: make([]float64, bins)}
	spectra := e.noiseSpectra(samples, rateHz, b, sure, analyser)
	for _, spectrum := range spectra {
		for i, p := range spectrum {
			l.noise[i] += p / float64(len(spectra))
		}
	}
	sound := e.soundSpectrum(samples, rateHz, b, sure, analyser)
	total := 0.0
	for i := range sound {
		sound[i] = max(0, sound[i]-l.noise[i])
		total += sound[i]
	}
	floor := max(total*spectralFloor/float64(bins), 1e-30)
	scale := 0.0
	for i, s := range sound {
		n := max(l.noise[i], floor)
		l.weight[i] = s / (n * n)
		scale += l.weight[i] * s
	}
	for i := range l.weight {
		l.weight[i] /= max(scale, 1e-300)
	}
	matched, all := l.spread(spectra)
	quietest := e.quietest(b, sure)
	l.matched = max(quietest/max(total, 1e-30), matched*e.spread)
	l.noiseSpread, l.quietest = matched, quietest/max(total, 1e-30)
	l.all = max(quietest, all*e.spread)
	return l
}

// spread is how far the sums of noise alone go from 0, as root mean squares.
func (l *learntSound) spread(spectra [][]float64) (matched, all float64) {
	for _, spectrum := range spectra {
		m, a := l.sums(spectrum)
		matched += m * m
		all += a * a
	}
	n := float64(max(1, len(spectra)))
	return math.Sqrt(matched / n), math.Sqrt(all / n)
}

// quietest is the power at which a sound without noise begins or ends.
func (e edgeSearch) quietest(b *blocks, sure int) float64 {
	span := int(attackSpanSec / blockSec)
	highest := 0.0
	for k := 0; k < span; k++ {
		if j := sure - e.direction*k; j >= 0 && j < len(b.smooth) {
			highest = max(highest, b.smooth[j])
		}
	}
	return sound.DBToPower(-e.floorDB) * highest
}

// noiseSpectra gives spectra of the noise outside an edge, from the blocks that are not much louder than the quiet
// ones there, so that neither a click nor a slow beginning is taken for noise.
func (e edgeSearch) noiseSpectra(samples []float32, rateHz int, b *blocks, sure int,
	analyser *sound.Spectrum) [][]float64 {
	guard := int(guardSec / blockSec)
	var outside []int
	for i := sure + e.direction*guard; i >= 0 && i < len(b.power); i += e.direction {
		if b.power[i] > digitalSilence {
			outside = append(outside, i)
		}
	}
	if float64(len(outside)) < pauseLeastSec/blockSec {
		return nil
	}
	levels := make([]float64, len(outside))
	for k, i := range outside {
		levels[k] = b.slow[i]
	}
	slices.Sort(levels)
	limit := quietSpread * levels[len(levels)/20]
	outside = slices.DeleteFunc(outside, func(i int) bool { return b.slow[i] > limit })
	step := max(1, len(outside)/learnFrames)
	var spectra [][]float64
	for k := 0; k < len(outside); k += step {
		// Four blocks are a period of 50 Hz hum: a place in the block that moves on sees every phase of it.
		place := len(spectra) * b.lengthFrames * 5 / 13 % b.lengthFrames
		spectra = append(spectra, slices.Clone(analyser.At(samples, outside[k]*b.lengthFrames+place)))
	}
	return spectra
}

// soundSpectrum is the mean spectrum just inside an edge.
func (e edgeSearch) soundSpectrum(samples []float32, rateHz int, b *blocks, sure int,
	analyser *sound.Spectrum) []float64 {
	sound := make([]float64, len(analyser.Power))
	frames := max(1, int(learnSec/blockSec))
	for k := range frames {
		at := (sure-e.direction*k)*b.lengthFrames + b.lengthFrames/2
		for i, p := range analyser.At(samples, at) {
			sound[i] += p / float64(frames)
		}
	}
	return sound
}
