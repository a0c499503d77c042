// How much sound one take may hold, so that no file costs more memory than a machine has.

package decode

import "fmt"

const (
	maxSeconds  = 30 * 60
	maxChannels = 8
	maxSamples  = maxSeconds * 48000 * 2 // of all channels together
	maxRateHz   = 768000                 // as in mapping/wav
)

// lossyFramesAByte is how many frames a byte of lossy coding holds at most, in common practice: room is made for no
// more, whatever length a file declares.
const lossyFramesAByte = 16

// likely is how much of a declared length there may be.
func (in *input) likely(declaredFrames int64) int64 {
	return max(0, min(declaredFrames, lossyFramesAByte*in.size))
}

// LimitError is a file that holds more than a take may.
type LimitError struct {
	Path     string
	Found    string
	Expected string
	Mend     string
}

// Error gives file, what was found, what was expected and the mend.
func (e *LimitError) Error() string {
	return fmt.Sprintf("%s: found %s, expected %s; %s", e.Path, e.Found, e.Expected, e.Mend)
}

// checkLimits says whether so many frames may be decoded. The number of frames may be what has been
// decoded so far.
func checkLimits(path string, frames int64, channels, rateHz int) error {
	switch {
	case channels > maxChannels:
		return &LimitError{path, fmt.Sprintf("%d channels", channels), fmt.Sprintf("at most %d", maxChannels),
			"save the channels you want as a file of their own"}
	case frames > int64(rateHz)*maxSeconds:
		return &LimitError{path, "a recording longer than 30 minutes", "one sound of at most 30 minutes",
			"cut it into takes"}
	case frames > maxSamples/int64(channels):
		return &LimitError{path, fmt.Sprintf("more than %d frames of %d channels at %d Hz",
			maxSamples/channels, channels, rateHz),
			fmt.Sprintf("at most %d MB of decoded sound",
				maxSamples*4/1000000), "cut it into takes, or save it at 48000 Hz in stereo"}
	}
	return nil
}

// checkForm refuses a number of channels or a rate that no sound has.
func checkForm(path string, channels, rateHz int) error {
	if channels < 1 {
		return fmt.Errorf("%s: found %d channels, expected 1 to %d; get the file again from where it came from", path,
			channels, maxChannels)
	}
	if rateHz < 1 || rateHz > maxRateHz {
		return fmt.Errorf("%s: found a rate of %d Hz, expected 1 to %d; get the file again from where it came from",
			path, rateHz, maxRateHz)
	}
	return checkLimits(path, 0, channels, rateHz)
}
