package arrange

import (
	"math"
	"math/rand/v2"
	"testing"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
)

// sharp is a stroke whose first milliseconds stand far above what rings on.
func sharp(hz, clickDB float64, seed uint64) Part {
	r := rand.New(rand.NewPCG(seed, 5))
	samples := make([]float32, 2*testRate)
	for i := range samples {
		sec := float64(i) / testRate
		samples[i] = float32(0.05*math.Exp(-2*sec)*math.Sin(2*math.Pi*hz*sec) +
			0.05*math.Pow(10, clickDB/20)*math.Exp(-sec/0.002)*(2*r.Float64()-1))
	}
	return Part{Left: samples, Right: samples, Kind: measure.Struck, SteadinessDB: 10, Index: int(seed)}
}

// A bed led by sharp strokes is as loud as any other, and in the quietest layer it peaks less above its loudness: by
// what the setting says, as the standard measures it.
func TestSharpStrokesKeepTheirLevel(t *testing.T) {
	settings := project.Default()
	parts := []Part{sharp(330, 18, 1), sharp(440, 20, 2), tone(220, 20, 8, 3), sharp(660, 16, 4)}
	above := map[string]float64{}
	for _, layer := range []string{"soft", "loud"} {
		_, arrange := settings.ForLayer(layer)
		bed, err := Bed(parts, hearing.Company{}, arrange, 15*testRate, testRate, 1)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(bed.LoudnessLUFS-arrange.TargetLUFS) > 0.1 {
			t.Errorf("%s: %.2f LUFS, want %g", layer, bed.LoudnessLUFS, arrange.TargetLUFS)
		}
		for _, db := range testsound.PeaksAboveLoudness(bed.Left, bed.Right, testRate) {
			above[layer] = max(above[layer], db)
		}
	}
	t.Logf("peaks above loudness: %.1f dB soft, %.1f dB loud", above["soft"], above["loud"])
	if least := settings.Arrange.SoftAttackDB - 1; above["loud"]-above["soft"] < least {
		t.Errorf("strokes peak %.1f dB above their loudness in soft and %.1f dB in loud, want %.1f dB less or more",
			above["soft"], above["loud"], least)
	}
}
