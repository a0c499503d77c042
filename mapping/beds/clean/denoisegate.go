// Running the gate over a take: each spectrum waits until the frames after it are known.

package clean

// gateRun is the state of one pass over a take.
type gateRun struct {
	*gate
	channels [][]float32
	// Rings over the last frames: the spectra of a frame wait for the frames that the wide view looks ahead.
	spectra [wideFrames + 1][][]complex128 // frame, channel, bin
	ratios  [2*wideFrames + 1][]float64    // frame, bin: power over the noise's

	perNoise       []float64 // 1 over the noise
	gains          []float64 // of the frame before, for the release
	floor, release float64
	sum, seen      []float64 // what a view adds up, and what it sees
	open           []float64
	// of each channel, the sum of the frames that reach beyond what is finished: one frame's length
	building [][]float64
}

// run gates what the trim keeps of the channels, in place. Gains go from floor, where there is only noise, to 1.
func (g *gate) run(channels [][]float32, t trim, noise []float64, floor, release float64) {
	r := &gateRun{gate: g, channels: channels, floor: floor, release: release}
	for f := range r.spectra {
		for range channels {
			r.spectra[f] = append(r.spectra[f], make([]complex128, g.bins))
		}
	}
	for range channels {
		r.building = append(r.building, make([]float64, g.sizeFrames))
	}
	for f := range r.ratios {
		r.ratios[f] = make([]float64, g.bins)
	}
	r.perNoise, r.gains = make([]float64, g.bins), make([]float64, g.bins)
	r.sum, r.seen, r.open = make([]float64, g.bins), make([]float64, g.bins), make([]float64, g.bins)
	mean := 0.0
	for _, power := range noise {
		mean += power / float64(g.bins)
	}
	for k, power := range noise {
		r.perNoise[k] = 1 / max(power, 1e-7*mean) // what the high-pass has emptied counts as noise
	}
	// The first frames build nothing up, they only let the gates find their places.
	first := t.from - g.sizeFrames + g.hopFrames - 2*wideFrames*g.hopFrames
	for f := 0; ; f++ {
		r.take(f, first+f*g.hopFrames)
		done := f - wideFrames
		from := first + done*g.hopFrames
		if from >= t.to {
			return
		}
		if done >= wideFrames {
			r.setGains(done)
			r.build(done, from, t)
		}
	}
}

// take analyses the frame that begins at from.
func (r *gateRun) take(f, from int) {
	ratios := r.ratios[f%len(r.ratios)]
	clear(ratios)
	for c, spectrum := range r.spectra[f%len(r.spectra)] {
		r.analyse(spectrum, r.channels[c], from)
		addPower(ratios, spectrum)
	}
	for k, perNoise := range r.perNoise {
		ratios[k] *= perNoise
	}
}

// setGains decides how far each bin is open in a frame.
func (r *gateRun) setGains(f int) {
	open := r.open
	r.view(f, wideFrames, wideBins)
	for k, ratio := range r.seen[:len(open)] {
		open[k] = opening(ratio, wideShut, wideOpen)
	}
	r.view(f, nearFrames, nearBins)
	for k, ratio := range r.seen[:len(open)] {
		open[k] = max(open[k], opening(ratio, nearShut, nearOpen))
	}
	// A partial's flanks are opened with it, and no bin is open beside a shut one.
	last := len(open) - 1
	lobes := r.seen[:len(open)]
	for k := range lobes {
		lobes[k] = max(open[max(0, k-1)], open[k], open[min(last, k+1)])
	}
	gains := r.gains[:len(open)]
	for k := range gains {
		around := (lobes[max(0, k-1)] + 2*lobes[k] + lobes[min(last, k+1)]) / 4
		gain := r.floor + (1-r.floor)*around
		if gain < gains[k] {
			gain = gains[k] + (gain-gains[k])*r.release
		}
		gains[k] = gain
	}
}

// view averages the ratios over so many frames and bins to either side. The outermost bins see fewer, and so less.
func (r *gateRun) view(f, frames, bins int) {
	sum := r.sum
	clear(sum)
	for i := f - frames; i <= f+frames; i++ {
		for k, ratio := range r.ratios[i%len(r.ratios)][:len(sum)] {
			sum[k] += ratio
		}
	}
	clear(r.seen)
	share := 1 / float64((2*frames+1)*(2*bins+1))
	for shift := -bins; shift <= bins; shift++ {
		from := sum[max(0, shift):min(len(sum), len(sum)+shift)]
		to := r.seen[max(0, -shift):][:len(from)]
		for k, ratio := range from {
			to[k] += share * ratio
		}
	}
}

// opening goes from 0 at shut to 1 at open.
func opening(ratio, shut, open float64) float64 {
	return min(1, max(0, (ratio-shut)/(open-shut)))
}

// build applies the gains to a frame's spectra, adds the frame to what is being built, and writes its first hop, which
// is complete. Frames still to be analysed begin after that.
func (r *gateRun) build(f, from int, t trim) {
	scale := 1 / (1.5 * float64(r.sizeFrames)) // transforming there and back multiplies by the size
	for c, spectrum := range r.spectra[f%len(r.spectra)] {
		for k, gain := range r.gains {
			spectrum[k] *= complex(gain*scale, 0)
		}
		building := r.building[c]
		for i, x := range r.fft.Sequence(r.frame, spectrum) {
			building[i] += r.window[i] * x
		}
		for i := max(0, t.from-from); i < min(r.hopFrames, t.to-from); i++ {
			r.channels[c][from+i] = float32(building[i])
		}
		copy(building, building[r.hopFrames:])
		clear(building[r.sizeFrames-r.hopFrames:])
	}
}
