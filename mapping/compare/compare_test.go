// Planted wrongs: a small instrument plays one score rightly and in many wrong ways, and the comparison names each.

package compare

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"lapstrake/mapping/sound"
)

const rateHz = 16000

// wrongs are what the small instrument may do wrong; the zero value plays rightly.
type wrongs struct {
	cents, delaySec, gainDB      float64
	noLoop, swapped, mono        bool
	soft, loud                   float64 // dB added to a layer; −200: missing
	linear, squareVolume         bool    // another fade; volume by 20 log10
	stuck, exchanged             bool    // the dynamics
	otherStart                   bool
	bendRange, releaseSec, tilt  float64 // 0: as it is
	wholeRatio                   float64
	noise                        float64
	missingFromSec, missingToSec float64
	loopDB, heldDB               float64 // added while a note is held: from its loop on, from its beginning on
}

var sections = []Section{
	{Name: "soft", Try: TryLayer, Layer: "soft", FromSec: 0.8, ToSec: 2}, // its notes begin at 0
	{Name: "loud", Try: TryLayer, Layer: "loud", FromSec: 2, ToSec: 4},
	{Name: "fade", Try: TryFade, FromSec: 4, ToSec: 7},
	{Name: "steady", Try: TrySteady, FromSec: 7, ToSec: 7.2},
	{Name: "volume", Try: TryVolume, FromSec: 7.5, ToSec: 9},
	{Name: "bend", Try: TryBend, FromSec: 9.5, ToSec: 11.5},
	{Name: "loop", Try: TryLoop, FromSec: 12, ToSec: 16},
	{Name: "release", Try: TryRelease, FromSec: 16, ToSec: 17.5},
}

// played is a chord of tones with eight harmonics each, on different sides, whose "file" ends after 3 s, and a second
// layer an octave and a fifth higher in its spectrum.
func played(w wrongs) Sound {
	const lastSec = 18
	r := rand.New(rand.NewPCG(1, 2))
	s := Sound{rateHz, [][]float32{make([]float32, lastSec*rateHz), make([]float32, lastSec*rateHz)}}
	phase, shift := 0.0, 0.0
	if w.otherStart {
		shift = 0.37
	}
	level, softGain, loudGain := 0.0, sound.DBToAmplitude(w.soft), sound.DBToAmplitude(w.loud)
	var colour [9]float64
	for h := range colour {
		colour[h] = 0.05 * math.Pow(float64(h), w.tilt) * sound.DBToAmplitude(w.gainDB)
	}
	for k := range lastSec * rateHz {
		sec := float64(k)/rateHz - w.delaySec
		if sec < 0 {
			continue
		}
		dynamics := 0.0
		switch {
		case sec >= 2 && sec < 4:
			dynamics = 1
		case sec >= 4 && sec < 7:
			dynamics = (sec - 4) / 3
		case sec >= 7:
			dynamics = 0.5
		}
		switch {
		case w.stuck:
			dynamics = 0.5
		case w.exchanged:
			dynamics = 1 - dynamics
		}
		loud, soft := math.Sincos(dynamics * math.Pi / 2)
		if w.linear {
			soft, loud = 1-dynamics, dynamics
		}
		soft, loud = soft*softGain, loud*loudGain
		volume := 1.0
		if sec >= 7.25 && sec < 9.25 {
			volume = math.Pow(64.0/127, 2)
			if w.squareVolume {
				volume = 64.0 / 127
			}
		}
		bend := 0.0
		if sec >= 9.4 && sec < 11.6 {
			bend = 2
			if w.bendRange != 0 {
				bend = w.bendRange
			}
		}
		phase += math.Exp2(bend/12+w.cents/1200) / rateHz
		target := 1.0
		if sec > 16 {
			release := 2.0
			if w.releaseSec != 0 {
				release = w.releaseSec
			}
			target = math.Pow(10, -3*(sec-16)/release)
		}
		level = target
		if w.noLoop && math.Mod(sec, 6) > 5 || sec > w.missingFromSec && sec < w.missingToSec {
			level = 0
		}
		if sec >= 11.8 && sec < 16 {
			level *= sound.DBToAmplitude(w.heldDB)
			if sec > 15 {
				level *= sound.DBToAmplitude(w.loopDB)
			}
		}
		for i, hz := range []float64{196, 246.9, 311.1} {
			right, left := math.Sincos([]float64{0.2, 0.5, 0.9}[i] * math.Pi / 2)
			for h := 1.0; h <= 8; h++ {
				amplitude := (soft/(h*h) + loud*0.3/h) * level * volume * colour[int(h)]
				x := amplitude * sine(phase*hz*h+0.1*h*float64(i)+shift*h*h*float64(i+1))
				left, right := x*left, x*right
				switch {
				case w.swapped:
					left, right = right, left
				case w.mono:
					left = (left + right) / 2
					right = left
				}
				s.Channels[0][k] += float32(left)
				s.Channels[1][k] += float32(right)
			}
		}
		if w.noise > 0 {
			s.Channels[0][k] += float32(w.noise * r.NormFloat64())
			s.Channels[1][k] += float32(w.noise * r.NormFloat64())
		}
	}
	if w.wholeRatio != 0 {
		sound.Resample(s.Channels, w.wholeRatio)
	}
	return s
}

// sines is a period in small steps: errors under −100 dB.
var sines = func() (table [1 << 16]float64) {
	for k := range table {
		table[k] = math.Sin(2 * math.Pi * float64(k) / float64(len(table)))
	}
	return table
}()

func sine(turns float64) float64 { return sines[int(turns*float64(len(sines)))%len(sines)] }

func TestPlantedWrongsAreNamed(t *testing.T) {
	right := played(wrongs{})
	sampleCents := 1200 * math.Log2(48000.0/44100)
	for name, c := range map[string]struct {
		wrongs
		want Kind // "": near
	}{
		"the same":                  {wrongs{}, ""},
		"a little noise":            {wrongs{noise: 1e-4, gainDB: 0.3, cents: 1}, ""},
		"6 ms late":                 {wrongs{delaySec: 0.006}, ""},
		"200 ms late":               {wrongs{delaySec: 0.2}, Delayed},
		"3 dB softer":               {wrongs{gainDB: -3}, Level},
		"8 cents flat":              {wrongs{cents: -8}, OffTune},
		"an octave high":            {wrongs{cents: 1200}, Octave},
		"an octave low":             {wrongs{cents: -1200}, Octave},
		"44.1 kHz read as 48":       {wrongs{cents: sampleCents}, OneRate},
		"48 kHz read as 44.1":       {wrongs{cents: -sampleCents}, OneRate},
		"the whole at another rate": {wrongs{wholeRatio: 44100.0 / 48000}, WholeRate},
		"the whole a little faster": {wrongs{wholeRatio: 0.97}, WholeRate},
		"no loop":                   {wrongs{noLoop: true}, LoopOff},
		"a loop that is elsewhere":  {wrongs{loopDB: -4}, LoopOff},
		"a key of another level":    {wrongs{heldDB: 5}, Keys},
		"no soft layer":             {wrongs{soft: -200}, NoLayer},
		"no loud layer":             {wrongs{loud: -200}, NoLayer},
		"loud layer 5 dB up":        {wrongs{loud: 5}, Curve},
		"a linear fade":             {wrongs{linear: true}, Curve},
		"another volume law":        {wrongs{squareVolume: true}, Volume},
		"dynamics that stay":        {wrongs{stuck: true}, Curve},
		"exchanged layers":          {wrongs{exchanged: true}, Exchanged},
		"other starts":              {wrongs{otherStart: true}, Starts},
		"a wheel of 12":             {wrongs{bendRange: 12}, Bend},
		"a wheel of half":           {wrongs{bendRange: 1}, Bend},
		"a short release":           {wrongs{releaseSec: 0.5}, Release},
		"swapped":                   {wrongs{swapped: true}, Swapped},
		"mono":                      {wrongs{mono: true}, OneSide},
		"duller":                    {wrongs{tilt: -0.6}, Bands},
		"a note missing":            {wrongs{missingFromSec: 12.3, missingToSec: 15.5}, LoopOff},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r, err := Sounds(right, played(c.wrongs), sections)
			if err != nil {
				t.Fatal(err)
			}
			if c.want == "" && !r.Near() || c.want != "" && (r.Near() || !r.has(c.want)) {
				t.Errorf("found %+v, want %q; level %.2f dB, tuning %v, delay %.4f s, correlation %.3f", r.Findings,
					c.want, r.LevelDB, r.TuneCents, r.DelaySec, r.Correlation)
			}
			if len(r.Findings) > 2 {
				t.Errorf("%d findings of one wrong: %+v", len(r.Findings), r.Findings)
			}
		})
	}
}

// Figures are those that were planted: the delay to the frame where the waveforms tell it, roughly where only the
// levels do.
func TestFigures(t *testing.T) {
	r, err := Sounds(played(wrongs{}), played(wrongs{gainDB: -3, cents: 7.5, delaySec: 0.1234}), nil)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r.LevelDB+3) > 0.1 || r.TuneCents == nil || math.Abs(*r.TuneCents-7.5) > 0.5 ||
		math.Abs(r.DelaySec-0.1234) > 0.05 {
		t.Errorf("level %.2f dB, tuning %v, delay %.4f s; want −3, 7.5, 0.1234", r.LevelDB, r.TuneCents, r.DelaySec)
	}
	r, err = Sounds(played(wrongs{}), played(wrongs{delaySec: 0.1234}), nil)
	if err != nil || math.Abs(r.DelaySec-0.1234) > 1.1/rateHz || r.Correlation < 0.99 {
		t.Errorf("delay %.5f s, correlation %.4f, %v; want 0.1234 to the frame", r.DelaySec, r.Correlation, err)
	}
}

// Other rates and numbers of channels are compared like any; silence is refused.
func TestSoundsOfOtherForms(t *testing.T) {
	other := clone(played(wrongs{}))
	sound.Resample(other.Channels, 48000.0/rateHz)
	other.RateHz = 48000
	if r, err := Sounds(played(wrongs{}), other, sections); err != nil || !r.Near() {
		t.Errorf("at 48 kHz: %+v, %v", r, err)
	}
	one := played(wrongs{mono: true})
	one.Channels = one.Channels[:1]
	if r, err := Sounds(one, played(wrongs{mono: true}), sections); err != nil || !r.Near() || r.SwappedBy != nil {
		t.Errorf("one channel: %+v, %v", r, err)
	}
	for _, s := range []Sound{{rateHz, nil}, {rateHz, [][]float32{make([]float32, 5*rateHz)}},
		{rateHz, [][]float32{{1, 2, 3}}}} {
		if _, err := Sounds(one, s, nil); !errors.Is(err, ErrSilent) {
			t.Errorf("nothing to compare: %v", err)
		}
	}
}
