// True peak: what the waveform reaches between the samples.

package sound

import "math"

const (
	// TruePeakTaps is how many taps each phase of the standard's filter has.
	TruePeakTaps = 12
	// TruePeakMostGain bounds what the filter amplifies by: the largest sum of the absolute values of a phase's taps
	// is 2.0229.
	TruePeakMostGain = 2.03

	truePeakBlock = 64
)

// truePeakPhases are two of the four phases of the filter of order 48 that ITU-R BS.1770-5, annex 2, gives for finding
// true peaks by fourfold oversampling. The other two are these in reverse order.
var truePeakPhases = [2][TruePeakTaps]float64{
	{0.0017089843750, 0.0109863281250, -0.0196533203125, 0.0332031250000, -0.0594482421875, 0.1373291015625,
		0.9721679687500, -0.1022949218750, 0.0476074218750, -0.0266113281250, 0.0148925781250, -0.0083007812500},
	{-0.0291748046875, 0.0292968750000, -0.0517578125000, 0.0891113281250, -0.1665039062500, 0.4650878906250,
		0.7797851562500, -0.2003173828125, 0.1015625000000, -0.0582275390625, 0.0330810546875, -0.0189208984375},
}

// TruePeakPhases returns two of the filter's four phases; the other two are these in reverse order (ITU-R BS.1770-5,
// annex 2).
func TruePeakPhases() [2][TruePeakTaps]float64 { return truePeakPhases }

// TruePeak is the highest true peak of one channel, 1 being full scale, measured by the standard's filter at
// every rate; the samples themselves count too. Before and after the channel there is silence. It looks between the
// samples only where one is high enough to hide a peak above the highest yet.
func TruePeak(channel []float32) float64 {
	return truePeak(channel, -TruePeakTaps+1, len(channel), 0)
}

// TruePeakReach is how many samples a stretch must share with the one before it for TruePeakWithin to miss nothing
// between the two.
const TruePeakReach = TruePeakTaps - 1

// TruePeakWithin is the highest true peak of a stretch of a channel that goes on before and after it. It looks between
// the samples only where the stretch itself has all that the filter needs.
func TruePeakWithin(stretch []float32) float64 {
	return truePeak(stretch, 0, len(stretch)-TruePeakTaps+1, 0)
}

// PeakMeter finds the true peak of a channel that comes block by block: that which TruePeak finds of all of it.
type PeakMeter struct {
	most float64
	tail [TruePeakReach]float32 // the last samples that have come
}

// Add takes in the channel's next block.
func (p *PeakMeter) Add(block []float32) {
	p.join(block)
	p.most = truePeak(block, 0, len(block)-TruePeakTaps+1, p.most)
	kept := copy(p.tail[:], p.tail[min(len(block), TruePeakReach):])
	copy(p.tail[kept:], block[max(0, len(block)-TruePeakReach):])
}

// join looks at the windows that begin in the tail and reach into a block.
func (p *PeakMeter) join(block []float32) {
	var seam [2 * TruePeakReach]float32
	copy(seam[:], p.tail[:])
	length := TruePeakReach + copy(seam[TruePeakReach:], block)
	p.most = truePeak(seam[:length], 0, length-TruePeakTaps+1, p.most)
}

// TruePeak is that of all that has come so far, with silence behind it.
func (p *PeakMeter) TruePeak() float64 {
	end := *p
	end.join(make([]float32, TruePeakReach))
	return end.most
}

// truePeak looks between the samples of the filter's windows that begin from first on and before last. It is told the
// highest peak yet.
func truePeak(channel []float32, first, last int, most float64) float64 {
	most = max(most, float64(Peak(channel)))
	var window [truePeakBlock + 2*TruePeakTaps]float64
	for from := first; from < last; from += truePeakBlock {
		windows := min(truePeakBlock, last-from)
		// The filter's windows that begin in this block reach TruePeakTaps−1 samples beyond it.
		lowest, beyond := max(from, 0), min(from+windows+TruePeakTaps-1, len(channel))
		if float64(Peak(channel[lowest:max(lowest, beyond)]))*TruePeakMostGain <= most {
			continue
		}
		clear(window[:])
		for i := lowest; i < beyond; i++ {
			window[i-from] = float64(channel[i])
		}
		for i := range windows {
			most = max(most, between((*[TruePeakTaps]float64)(window[i:])))
		}
	}
	return most
}

// between is the highest of the four points that the filter finds in the middle of twelve samples.
func between(window *[TruePeakTaps]float64) float64 {
	var ahead0, back0, ahead1, back1 float64
	for k := range TruePeakTaps {
		x, y := window[k], window[TruePeakTaps-1-k]
		ahead0 += truePeakPhases[0][k] * x
		back0 += truePeakPhases[0][k] * y
		ahead1 += truePeakPhases[1][k] * x
		back1 += truePeakPhases[1][k] * y
	}
	return max(math.Abs(ahead0), math.Abs(back0), math.Abs(ahead1), math.Abs(back1))
}
