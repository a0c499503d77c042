// A sound takes the music's place and gives it back, without a click.

package live

import (
	"math"
	"testing"
)

func TestDryTakesTheMusicsPlace(t *testing.T) {
	const rate = 48000
	player := &Player{dry: newDry(rate)}
	music := func(i int) float64 { return 0.3 * math.Sin(2*math.Pi*200*float64(i)/rate) }
	sound := make([]float32, 2*rate/2)
	for i := range len(sound) / 2 {
		x := float32(0.3 * math.Sin(2*math.Pi*320*float64(i)/rate))
		sound[2*i], sound[2*i+1] = x, -x
	}
	var left, right []float64
	play := func(frames int) {
		for done := 0; done < frames; done += 96 {
			block := make([]float32, 2*96)
			for i := range 96 {
				block[2*i] = float32(music(len(left) + i))
				block[2*i+1] = block[2*i]
			}
			player.dry.apply(block)
			for i := range 96 {
				left, right = append(left, float64(block[2*i])), append(right, float64(block[2*i+1]))
			}
		}
	}
	play(rate / 10)
	player.PlayDry(sound)
	play(rate / 4)
	if !player.IsDry() {
		t.Error("the sound is not told")
	}
	for i := rate/10 + rate/40; i < rate/10+rate/4; i++ { // 25 ms on
		if at := i - rate/10; math.Abs(left[i]-float64(sound[2*at])) > 1e-6 || math.Abs(left[i]+right[i]) > 1e-6 {
			t.Fatalf("frame %d is %g, want the sound, %g", i, left[i], sound[2*at])
		}
	}
	play(rate / 2) // to its end
	if player.IsDry() {
		t.Error("the sound does not end")
	}
	player.PlayDry(sound)
	play(rate / 10)
	player.PlayDry(sound[:rate/4]) // another one in its place
	play(rate / 10)
	player.PlayDry(nil)
	play(rate / 10)
	for i := len(left) - rate/20; i < len(left); i++ {
		if math.Abs(left[i]-music(i)) > 1e-6 {
			t.Fatalf("frame %d is %g, want the music, %g", i, left[i], music(i))
		}
	}
	// The steepest of both sounds moves by 0.013 a frame, the change from one to the other by 0.0006 more.
	for i := 1; i < len(left); i++ {
		if step := math.Abs(left[i] - left[i-1]); step > 0.0145 {
			t.Fatalf("frame %d: a step of %.4f", i, step)
		}
	}
	block := make([]float32, 2*96)
	if allocs := testing.AllocsPerRun(100, func() { player.dry.apply(block) }); allocs != 0 {
		t.Errorf("%v allocations a block, expected none", allocs)
	}
}
