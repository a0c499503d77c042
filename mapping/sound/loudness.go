// Loudness after ITU-R BS.1770-5, annex 1, and EBU Tech 3341.

package sound

import "math"

const (
	loudnessOffsetDB = -0.691 // makes the K filter's gain at 1 kHz come out as 0: BS.1770-5, annex 1, equation 2
	absoluteGateLUFS = -70
	relativeGateLU   = -10
	momentaryHops    = 4  // of 100 ms: 400 ms, and so a gating block
	shortTermHops    = 30 // of 100 ms: 3 s
)

// Meter measures the loudness of sound that it is given block by block. Its results stand for all that was
// added so far and do not depend on how it was cut into blocks.
type Meter struct {
	rateHz        int
	weights       []float64
	filters       []kFilter
	hops          []float64 // weighted mean square of every 100 ms that is complete
	frames        int64     // added so far
	missingFrames int       // frames until the present hop is complete
	lengthFrames  int       // of the present hop in frames
	sum           float64   // weighted sum of squares in the present hop
	all           float64   // weighted sum of squares of everything
}

// NewMeter makes a meter for a rate from 1 frame a second up and channels of the given weights: StereoWeights, or what
// ChannelWeights says. BS.1770-5 filters at 48 kHz; other rates get the same filters (see newKFilter).
func NewMeter(rateHz int, weights []float64) *Meter {
	m := &Meter{rateHz: rateHz, weights: weights, filters: make([]kFilter, len(weights))}
	for i := range m.filters {
		m.filters[i] = newKFilter(float64(rateHz))
	}
	m.nextHop()
	return m
}

// StereoWeights are the weights of left and right.
var StereoWeights = []float64{1, 1}

// ChannelWeights gives the weights of BS.1770-5, annex 1, table 3: 1 for left, right and centre, 1.41 for each
// surround channel, nothing for low-frequency effects. Five and six channels are taken in the order of WAV files
// (L R C [LFE] Ls Rs); any other number weighs all alike. One channel is measured alone, as it is stored.
func ChannelWeights(channels int) []float64 {
	switch channels {
	case 5:
		return []float64{1, 1, 1, 1.41, 1.41}
	case 6:
		return []float64{1, 1, 1, 0, 1.41, 1.41}
	}
	weights := make([]float64, channels)
	for i := range weights {
		weights[i] = 1
	}
	return weights
}

// Add takes in a block: as many channels as the meter has weights, all alike long, full scale ±1.
func (m *Meter) Add(channels ...[]float32) {
	if len(channels) == 0 {
		return
	}
	for from, frames := 0, len(channels[0]); from < frames; {
		to := min(frames, from+m.missingFrames)
		if len(m.filters) == 2 && m.weights[0] != 0 && m.weights[1] != 0 {
			left, right := sumsOfSquares(&m.filters[0], &m.filters[1], channels[0][from:to], channels[1][from:to])
			m.sum += m.weights[0] * left
			m.sum += m.weights[1] * right
		} else {
			for c := range m.filters {
				if m.weights[c] != 0 {
					m.sum += m.weights[c] * m.filters[c].sumOfSquares(channels[c][from:to])
				}
			}
		}
		m.missingFrames -= to - from
		m.frames += int64(to - from)
		from = to
		if m.missingFrames == 0 {
			m.hops = append(m.hops, m.sum/float64(m.lengthFrames))
			m.all += m.sum
			m.nextHop()
		}
	}
}

// nextHop begins the next 100 ms. At rates that are not divisible by 10 hops differ by a frame, so that none drifts.
func (m *Meter) nextHop() {
	n := int64(len(m.hops))
	rate := int64(m.rateHz)
	m.lengthFrames = max(1, int(((n+1)*rate+5)/10-(n*rate+5)/10))
	m.missingFrames, m.sum = m.lengthFrames, 0
}

// IntegratedLUFS is the loudness of everything, by blocks of 400 ms that overlap by 75 %, those under −70 LUFS left
// out and then those more than 10 LU under the rest (BS.1770-5, annex 1, equations 3 to 7). NaN when no block is
// complete or none passes the gate.
func (m *Meter) IntegratedLUFS() float64 {
	blocks := m.windows(momentaryHops)
	ungated := meanAbove(blocks, SquareOfLUFS(absoluteGateLUFS))
	gate := max(SquareOfLUFS(absoluteGateLUFS), ungated*DBToPower(relativeGateLU))
	return LUFSOf(meanAbove(blocks, gate))
}

// LevelLUFS is the K-weighted level of everything, without gate and however short; −Inf for silence, NaN for nothing.
func (m *Meter) LevelLUFS() float64 { return LUFSOf((m.all + m.sum) / float64(m.frames)) }

// MomentaryLUFS gives the loudness of every 400 ms, one value each 100 ms; the first is that of the first 400 ms.
func (m *Meter) MomentaryLUFS() []float64 { return loudnesses(m.windows(momentaryHops)) }

// ShortTermLUFS gives the loudness of every 3 s, one value each 100 ms; the first is that of the first 3 s.
func (m *Meter) ShortTermLUFS() []float64 { return loudnesses(m.windows(shortTermHops)) }

// MaxMomentaryLUFS is the loudest 400 ms; NaN when the sound is shorter.
func (m *Meter) MaxMomentaryLUFS() float64 { return highest(m.MomentaryLUFS()) }

// MaxShortTermLUFS is the loudest 3 s; NaN when the sound is shorter.
func (m *Meter) MaxShortTermLUFS() float64 { return highest(m.ShortTermLUFS()) }

// windows gives the mean square of each run of so many hops.
func (m *Meter) windows(hops int) []float64 {
	if len(m.hops) < hops {
		return nil
	}
	means := make([]float64, len(m.hops)-hops+1)
	for i := range means {
		sum := 0.0
		for _, square := range m.hops[i : i+hops] {
			sum += square
		}
		means[i] = sum / float64(hops)
	}
	return means
}

// meanAbove is the mean of the values above a gate; NaN when there is none.
func meanAbove(values []float64, gate float64) float64 {
	sum, n := 0.0, 0.0
	for _, v := range values {
		if v > gate {
			sum += v
			n++
		}
	}
	return sum / n
}

func highest(values []float64) float64 {
	if len(values) == 0 {
		return math.NaN()
	}
	most := math.Inf(-1)
	for _, v := range values {
		most = max(most, v)
	}
	return most
}

func loudnesses(squares []float64) []float64 {
	for i, square := range squares {
		squares[i] = LUFSOf(square)
	}
	return squares
}

// LUFSOf is equation 2 of BS.1770-5, annex 1; SquareOfLUFS is its inverse.
func LUFSOf(square float64) float64 { return loudnessOffsetDB + PowerDB(square) }

// SquareOfLUFS is the weighted mean square of a loudness: the inverse of LUFSOf.
func SquareOfLUFS(lufs float64) float64 { return DBToPower(lufs - loudnessOffsetDB) }
