// A fingerprint of the sound's beginning, by which the same recording is known again under another name or encoding.

package measure

import (
	"math"
	"strings"

	"lapstrake/mapping/sound"
)

// Fingerprint is how the beginning of a take sounds: a letter for each band at each instant, the bands of the first
// instant first, a for nothing heard and each further letter 2 dB more, up to u for the loudest of all. It is "" where
// nothing sounds. It holds no level, sampling rate, coding or lead-in, and only what mono holds.
//
// What encoders make of a recording (MP3, Vorbis, Opus and AAC down to 32 kbit/s, other rates, levels, lead-ins,
// channels) lies within 1.3 dB of it in 98 of 100 notes by which the numbers below were chosen. Of recordings kept
// apart, 97 of 100 such copies were known again; drum rolls and hiss are not. No two recordings were less than 5 dB
// apart. The signs of differences between bands and instants (Haitsma & Kalker 2002, "A highly robust audio
// fingerprinting system") told them apart less well: up to 37 % of the bits differed in one recording, from 43 % on in
// two.
type Fingerprint string

// The bands are one ERB wide, 88 Hz to 5 kHz, which low rates and low bit rates keep. The windows are as long for
// every rate.
const (
	printBands     = 26
	printLowestERB = 3
	printInstants  = 16
	printHopSec    = 0.05
	printWindowSec = 0.1
	printStepDB    = 2
	printDepthDB   = 40 // under the loudest cell: what is quieter differs from one encoding to another
)

// findFingerprint looks at the sound from its onset on, in frames.
func findFingerprint(samples []float32, rateHz, onset int) Fingerprint {
	analyser := sound.BorrowSpectrum(2 * max(1, int(math.Round(printWindowSec*float64(rateHz)/2))))
	defer analyser.GiveBack()
	binHz := float64(rateHz) / float64(analyser.SizeFrames)
	cells := make([]float64, 0, printInstants*printBands)
	loudest := 0.0
	for instant := range printInstants {
		power := analyser.At(samples, onset+int(math.Round(float64(instant)*printHopSec*float64(rateHz))))
		for band := range printBands {
			lowestERB := printLowestERB + float64(band)
			cell := bandPower(power, sound.ERBHz(lowestERB)/binHz, sound.ERBHz(lowestERB+1)/binHz)
			cells = append(cells, cell)
			loudest = max(loudest, cell)
		}
	}
	if !(loudest > 0) {
		return ""
	}
	var letters strings.Builder
	for _, cell := range cells {
		overDB := sound.PowerDB(cell/loudest) + printDepthDB
		letters.WriteByte('a' + byte(math.Round(max(0, overDB)/printStepDB)))
	}
	return Fingerprint(letters.String())
}

// bandPower adds up the bins from … to, each reaching half a bin to both sides. Bins beyond the spectrum's end are 0.
func bandPower(power []float64, from, to float64) float64 {
	sum := 0.0
	for i := int(math.Round(from)); i <= int(math.Round(to)) && i < len(power); i++ {
		sum += power[i] * max(0, min(to, float64(i)+0.5)-max(from, float64(i)-0.5))
	}
	return sum
}

// Two fingerprints are of one recording when they differ by less than a share of what each differs from itself a while
// later: that tells two stretches of like noise apart. Steady tones may differ by a little, none by much.
const (
	printApartShare = 0.65
	printLeastApart = 0.8 // dB
	printMostApart  = 3.0 // dB
	printLaterBy    = 8   // instants
	profilesApartDB = 8   // so far apart, the bands over all instants already tell two recordings
	printShift      = 4   // instants by which two onsets of the same recording may lie apart
	printShiftStep  = 0.25
)

// Print is a fingerprint made ready to be compared with many.
type Print struct {
	cells   [printInstants][printBands]float64 // dB over what is taken for nothing
	profile [printBands]float64                // the highest of each band
	heard   int                                // cells in which there is something
	limitDB float64                            // what differs by more is another recording
}

// Ready makes a fingerprint ready to be compared; false for one that is empty or no fingerprint of today.
func (f Fingerprint) Ready() (p *Print, ok bool) {
	if len(f) != printInstants*printBands {
		return nil, false
	}
	p = &Print{}
	for i := range len(f) {
		level := float64(f[i]) - 'a'
		if level < 0 || level > printDepthDB/printStepDB {
			return nil, false
		}
		band := i % printBands
		p.cells[i/printBands][band] = level * printStepDB
		p.profile[band] = max(p.profile[band], level*printStepDB)
		if level > 0 {
			p.heard++
		}
	}
	var moves differences
	for i := range printInstants - printLaterBy {
		moves.add(&p.cells[i], &p.cells[i+printLaterBy])
	}
	p.limitDB = max(printLeastApart, min(printMostApart, printApartShare*moves.meanDB()))
	return p, true
}

// SameRecording says whether two takes are one recording, whatever its encoding, level, lead-in and channels.
func (p *Print) SameRecording(other *Print) bool {
	var profiles differences
	profiles.add(&p.profile, &other.profile)
	return profiles.meanDB() < profilesApartDB && p.apartDB(other) < min(p.limitDB, other.limitDB)
}

// apartDB is the mean difference of the cells in which either has something, its level apart, at the shift in time at
// which it is least; +Inf when there is too little in common.
func (p *Print) apartDB(other *Print) float64 {
	least := math.Inf(1)
	for shift := 0.0; shift <= printShift; shift += printShiftStep {
		least = min(least, p.apartAt(other, shift), other.apartAt(p, shift))
	}
	return least
}

// apartAt is apartDB with other later by so many instants. Between two of them the decibels are interpolated.
func (p *Print) apartAt(other *Print, shift float64) float64 {
	whole := int(shift)
	part := shift - float64(whole)
	var all differences
	for i := range printInstants - int(math.Ceil(shift)) {
		later := other.cells[i+whole]
		if part > 0 {
			for band, next := range other.cells[i+whole+1] {
				later[band] += part * (next - later[band])
			}
		}
		all.add(&p.cells[i], &later)
	}
	if 2*all.count < max(p.heard, other.heard) {
		return math.Inf(1)
	}
	return all.meanDB()
}

// differences are those of two fingerprints in the cells in which either has something.
type differences struct {
	dB       [printInstants * printBands]float64
	count    int
	gainDB   float64 // the sum over the cells in which both have something
	bothHave int
}

func (d *differences) add(a, b *[printBands]float64) {
	for band := range a {
		if a[band] <= 0 && b[band] <= 0 {
			continue
		}
		d.dB[d.count] = a[band] - b[band]
		d.count++
		if a[band] > 0 && b[band] > 0 {
			d.gainDB += a[band] - b[band]
			d.bothHave++
		}
	}
}

// meanDB is the mean of the differences without that of the levels; +Inf when no cell has something in both.
func (d *differences) meanDB() float64 {
	if d.bothHave == 0 {
		return math.Inf(1)
	}
	gainDB, sum := d.gainDB/float64(d.bothHave), 0.0
	for _, dB := range d.dB[:d.count] {
		sum += math.Abs(dB - gainDB)
	}
	return sum / float64(d.count)
}
