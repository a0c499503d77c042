package measure_test

import (
	"fmt"
	"path/filepath"

	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
)

// A recorded note, measured: A4 of a flute.
func ExampleTake() {
	s, err := decode.File(filepath.Join(testsound.Recordings(), "flute", "A4.mp3"))
	if err != nil {
		fmt.Println(err)
		return
	}
	m := measure.Take(s)
	key, cents := m.Pitch.Key()
	fmt.Printf("%s, key %d %+.0f cents, sure: %v\n", m.Kind, key, cents, m.Pitch.Sure())
	fmt.Printf("it sounds from %.1f s to %.1f s, %.0f LUFS\n", m.OnsetSec, m.EndSec, m.LoudnessLUFS)
	// Output:
	// held, key 69 +1 cents, sure: true
	// it sounds from 0.0 s to 2.0 s, -14 LUFS
}
