// The tap measures what went out, whatever the blocks.

package live

import (
	"math"
	"testing"

	"lapstrake/mapping/sound"
)

// A sine of a quarter of the rate whose samples all miss its crest by 45 degrees has its true peak 3.01 dB above its
// samples (ITU-R BS.1770-5, annex 2, gives this case; EBU Tech 3341 allows +0.2 and -0.4 dB).
func TestTapFindsTruePeaks(t *testing.T) {
	p := &Player{rateHz: testRateHz}
	tap := p.Tap()
	if silent := tap.TruePeakDBTP(); silent != -120 {
		t.Errorf("before any sound: %v", silent)
	}
	const level = 0.5
	for n, block := range []int{64, 333, 1, 7, 256, 1024, 2048} {
		out := make([]float32, 2*block)
		from := []int{0, 64, 397, 398, 405, 661, 1685}[n]
		for i := range block {
			out[2*i+1] = float32(level * math.Sin(math.Pi/2*float64(from+i)+math.Pi/4))
		}
		p.tap.Load().ring.add(out)
	}
	if got, want := tap.TruePeakDBTP(), sound.AmplitudeDB(level); got > want+0.2 || got < want-0.4 {
		t.Errorf("true peak %.2f dBTP, want %.2f", got, want)
	}
	if again := tap.TruePeakDBTP(); again != -120 {
		t.Errorf("%.2f dBTP when nothing more came", again)
	}
}
