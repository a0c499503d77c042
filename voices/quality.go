// How finely a mixer resamples: four qualities, named by words, told apart by their tap counts.

package voices

import (
	"fmt"
	"strings"
)

// Quality says how many source frames (taps) make one output frame when a voice is played at its recorded
// rate or below. More taps keep more treble free of images and cost more time. The images stated are the
// strongest partials that were not in the recording, for a full-scale sine at a rate of 48 kHz; see
// TestImagesEverywhere and TestSignalToNoise for what is asserted.
type Quality int

const (
	Economy  Quality = iota // 16 taps: images under −95 dB up to 14 kHz, −70 dB at 16 kHz
	Standard                // 24 taps: images under −105 dB up to 16 kHz, −85 dB at 18 kHz
	High                    // 32 taps: images under −105 dB up to 17 kHz, −85 dB at 19 kHz
	Best                    // 48 taps: images under −110 dB up to 20 kHz
)

// design holds what a quality's tables are made from. Edges are in cycles per source frame.
type design struct {
	word       string
	taps       int
	phaseBits  int     // 2^phaseBits rows; straight lines between rows leave images of 40·log10(f/rows) dB
	fullEdge   float64 // up to here the error weighs fullWeight
	passEdge   float64 // from fullEdge to here it weighs 1; above, the design does not care
	fullWeight float64
}

// The edges and weights were found by search, to bring the strongest image in each stretch of the spectrum
// down together; they are written as kHz at 48 kHz.
var designs = [...]design{
	Economy:  {"economy", 16, 8, 14.0 / 48, 16.0 / 48, 10},
	Standard: {"standard", 24, 8, 16.55 / 48, 18.15 / 48, 20},
	High:     {"high", 32, 8, 18.0 / 48, 19.5 / 48, 20},
	Best:     {"best", 48, 9, 20.0 / 48, 20.75 / 48, 50},
}

// ParseQuality takes a quality's word ("economy", "standard", "high", "best"; letter case does not matter).
func ParseQuality(word string) (Quality, error) {
	var words []string
	for q, d := range designs {
		if strings.EqualFold(word, d.word) {
			return Quality(q), nil
		}
		words = append(words, d.word)
	}
	return 0, fmt.Errorf("quality %q is not known: use one of %s", word, strings.Join(words, ", "))
}

// String returns the quality's word.
func (q Quality) String() string {
	if !q.known() {
		return fmt.Sprintf("Quality(%d)", int(q))
	}
	return designs[q].word
}

func (q Quality) known() bool { return q >= 0 && int(q) < len(designs) }
