// Loudness against the standard's table, the EBU's test signals and two other programs.

package sound

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

// ITU-R BS.1770-5, annex 1, tables 1 and 2: the coefficients of both filters at 48 kHz.
func TestKFilterIsTheStandardsAt48kHz(t *testing.T) {
	t.Parallel()
	f := newKFilter(48000)
	want := [2]Section{
		{B0: 1.53512485958697, B1: -2.69169618940638, B2: 1.19839281085285, A1: -1.69065929318241,
			A2: 0.73248077421585},
		{B0: 1, B1: -2, B2: 1, A1: -1.99004745483398, A2: 0.99007225036621},
	}
	for i, s := range []Section{f.shelf, f.cut} {
		for _, pair := range [][2]float64{{s.B0, want[i].B0}, {s.B1, want[i].B1}, {s.B2, want[i].B2},
			{s.A1, want[i].A1}, {s.A2, want[i].A2}} {
			if !testsound.Within(pair[0], pair[1], 1e-7) {
				t.Errorf("section %d: coefficient %.12f, want %.12f", i, pair[0], pair[1])
			}
		}
	}
}

// KWeight says what the meter makes of a long sine.
func TestKWeightIsWhatTheMeterMeasures(t *testing.T) {
	t.Parallel()
	for _, rateHz := range []int{16000, 44100, 48000, 96000} {
		for _, hz := range []float64{26, 50, 100, 997, 3000, 7500} {
			meter := NewMeter(rateHz, []float64{1})
			meter.Add(testsound.SineWave(rateHz, hz, 0, 30)) // of a power of 1/2
			gotDB, wantDB := PowerDB(KWeight(hz, rateHz)), PowerDB(2*SquareOfLUFS(meter.LevelLUFS()))
			if !testsound.Within(gotDB, wantDB, 0.01) {
				t.Errorf("%v Hz at %d Hz: %.4f dB, the meter measures %.4f", hz, rateHz, gotDB, wantDB)
			}
		}
	}
	if weight := KWeight(8000, 16000); weight != 0 {
		t.Errorf("at half the rate: %v, want 0", weight)
	}
}

// part is a stretch of a test signal: a 1 kHz sine in each channel, peaks in dBFS.
type part struct {
	sec    float64
	levels []float64
}

func stereoPart(sec, dBFS float64) part { return part{sec, []float64{dBFS, dBFS}} }

// EBU Tech 3341, table 1, minimum requirements test signals 1 to 6: integrated loudness within 0.1 LU. The signals are
// made here as the table describes them; its figures are from memory.
func TestEBUTestSignals(t *testing.T) {
	t.Parallel()
	for i, test := range []struct {
		want  float64
		parts []part
	}{
		{-23, []part{stereoPart(20, -23)}},
		{-33, []part{stereoPart(20, -33)}},
		{-23, []part{stereoPart(10, -36), stereoPart(60, -23), stereoPart(10, -36)}},
		{-23, []part{stereoPart(10, -72), stereoPart(10, -36), stereoPart(60, -23), stereoPart(10, -36),
			stereoPart(10, -72)}},
		{-23, []part{stereoPart(20, -26), stereoPart(20.1, -20), stereoPart(20, -26)}},
		{-23, []part{{20, []float64{-28, -28, -24, -30, -30}}}}, // L R C Ls Rs
	} {
		for _, rateHz := range []int{48000, 44100} {
			meter := NewMeter(rateHz, ChannelWeights(len(test.parts[0].levels)))
			for _, p := range test.parts {
				channels := make([][]float32, len(p.levels))
				for c, dBFS := range p.levels {
					channels[c] = testsound.SineWave(rateHz, 1000, dBFS, p.sec)
				}
				meter.Add(channels...)
			}
			if got := meter.IntegratedLUFS(); !testsound.Within(got, test.want, 0.1) {
				t.Errorf("test %d at %d Hz: %.3f LUFS, want %.1f ±0.1", i+1, rateHz, got, test.want)
			}
			// Tests 1 and 2 ask the same of the momentary and the short-term meter.
			if i < 2 && (!testsound.Within(meter.MaxMomentaryLUFS(), test.want, 0.1) ||
				!testsound.Within(meter.MaxShortTermLUFS(), test.want, 0.1)) {
				t.Errorf("test %d at %d Hz: momentary %.3f, short-term %.3f, want %.1f", i+1, rateHz,
					meter.MaxMomentaryLUFS(), meter.MaxShortTermLUFS(), test.want)
			}
		}
	}
}

func TestLoudnessAtAnyRate(t *testing.T) {
	t.Parallel()
	for _, rateHz := range []int{8000, 11025, 16000, 22050, 32000, 88200, 192000} {
		meter := NewMeter(rateHz, StereoWeights)
		x := testsound.SineWave(rateHz, 997, -23, 5)
		meter.Add(x, x)
		if got := meter.IntegratedLUFS(); !testsound.Within(got, -23, 0.1) {
			t.Errorf("997 Hz at −23 dBFS, %d frames a second: %.3f LUFS", rateHz, got)
		}
	}
}

func TestMeterDoesNotMindHowBlocksAreCut(t *testing.T) {
	t.Parallel()
	x, y := testsound.NoiseWave(testsound.White, 44100, 44100, -20, 1),
		testsound.NoiseWave(testsound.Reddish, 44100, 44100, -25, 2)
	whole := NewMeter(44100, StereoWeights)
	whole.Add(x, y)
	rapid.Check(t, func(t *rapid.T) {
		cut := NewMeter(44100, StereoWeights)
		for at := 0; at < len(x); {
			to := min(len(x), at+rapid.IntRange(1, 9000).Draw(t, "frames"))
			cut.Add(x[at:to], y[at:to])
			at = to
		}
		if !testsound.Within(cut.IntegratedLUFS(), whole.IntegratedLUFS(), 1e-9) ||
			!testsound.Within(cut.LevelLUFS(), whole.LevelLUFS(), 1e-9) {
			t.Fatalf("cut %.9f LUFS, whole %.9f", cut.IntegratedLUFS(), whole.IntegratedLUFS())
		}
	})
}

// The recordings, strung together to more than 3 s, against ffmpeg's ebur128 filter where that is installed; it
// prints tenths.
func TestLoudnessAgainstFFmpeg(t *testing.T) {
	t.Parallel()
	program, err := exec.LookPath("ffmpeg")
	if err != nil {
		t.Log("ffmpeg is not installed: nothing to compare with")
		return
	}
	integrated := regexp.MustCompile(`I:\s+(-?[\d.]+) LUFS\s+Threshold`)
	for name, sound := range strung(t) {
		command := exec.Command(program, "-hide_banner", "-nostats", "-f", "f32le", "-ar", strconv.Itoa(sound.RateHz),
			"-ac", "1", "-i", "pipe:0", "-af", "ebur128", "-f", "null", "-")
		raw, err := binary.Append(nil, binary.LittleEndian, sound.Channels[0])
		if err != nil {
			t.Fatal(err)
		}
		command.Stdin = bytes.NewReader(raw)
		out, err := command.CombinedOutput()
		found := integrated.FindSubmatch(out)
		if err != nil || found == nil {
			t.Fatalf("ffmpeg: %v\n%s", err, out)
		}
		want, _ := strconv.ParseFloat(string(found[1]), 64)
		meter := NewMeter(sound.RateHz, ChannelWeights(1))
		meter.Add(sound.Channels[0])
		if got := meter.IntegratedLUFS(); !testsound.Within(got, want, 0.1) {
			t.Errorf("%s: %.3f LUFS, ffmpeg says %.1f", name, got, want)
		}
	}
}

// libebur128 1.2.6 says of the strung recordings: integrated, loudest short-term and momentary loudness (asked every
// 100 ms).
func TestLoudnessAgainstLibebur128(t *testing.T) {
	t.Parallel()
	known := map[string][3]float64{
		"bassoon at 44100 Hz":         {-13.8641, -11.1082, -9.7497},
		"flute at 44100 Hz":           {-10.7390, -8.0095, -5.6869},
		"guitar-acoustic at 44100 Hz": {-18.5820, -18.0407, -14.1029},
		"misc at 44100 Hz":            {-14.6567, -10.8429, -7.4078},
		"piano at 48000 Hz":           {-24.8006, -25.3931, -19.3641},
	}
	for name, sound := range strung(t) {
		meter := NewMeter(sound.RateHz, ChannelWeights(1))
		meter.Add(sound.Channels[0])
		for i, got := range []float64{meter.IntegratedLUFS(), meter.MaxShortTermLUFS(), meter.MaxMomentaryLUFS()} {
			if want := known[name][i]; !testsound.Within(got, want, 0.01) {
				t.Errorf("%s: value %d is %.4f LUFS, libebur128 says %.4f", name, i+1, got, want)
			}
		}
	}
}

// strung joins the recordings of each folder to one sound a rate; all have one channel.
func strung(t *testing.T) map[string]*decode.Sound {
	all := map[string]*decode.Sound{}
	for _, r := range testtakes.In(t, "piano", "flute", "bassoon", "guitar-acoustic", "misc") {
		key := fmt.Sprintf("%s at %d Hz", filepath.Dir(r.Name), r.Sound.RateHz)
		if all[key] == nil {
			all[key] = testtakes.Mono(r.Sound.RateHz, nil)
		}
		all[key].Channels[0] = append(all[key].Channels[0], r.Sound.Mono()...)
	}
	return all
}
