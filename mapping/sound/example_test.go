package sound_test

import (
	"fmt"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/testsound"
)

func ExampleKeyHz() {
	fmt.Printf("key 60 is %.2f Hz, 450 Hz is key %.2f\n", sound.KeyHz(60), sound.HzKey(450))
	// Output: key 60 is 261.63 Hz, 450 Hz is key 69.39
}

// A power that is halved is 3 dB lower, an amplitude that is halved 6 dB.
func ExamplePowerDB() {
	fmt.Printf("%.2f %.2f\n", sound.PowerDB(0.5), sound.AmplitudeDB(0.5))
	// Output: -3.01 -6.02
}

// EBU Tech 3341, test signal 1: a stereo sine of 1 kHz with peaks at −23 dBFS has a loudness of −23 LUFS.
func ExampleMeter() {
	sine := testsound.SineWave(48000, 1000, -23, 20)
	meter := sound.NewMeter(48000, sound.StereoWeights)
	meter.Add(sine, sine)
	fmt.Printf("%.1f LUFS\n", meter.IntegratedLUFS())
	// Output: -23.0 LUFS
}

// Half as many frames at the same rate sound an octave higher.
func ExampleResample() {
	channels := [][]float32{testsound.SineWave(48000, 440, -6, 1)}
	sound.Resample(channels, 0.5)
	middle := testsound.Middle(channels[0])
	fmt.Printf("%d frames, %.2f Hz\n", len(channels[0]), testsound.MeasuredHz(middle, 48000, 879))
	// Output: 24000 frames, 880.00 Hz
}
