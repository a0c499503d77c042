// Checks that every problem of a hand-made map is found, with its line and field.

package mapping

import (
	"math"
	"strings"
	"testing"
)

// handMade has one rank of two zones. The line numbers of the tests count its lines.
const handMade = `version = 1
rate_hz = 48000
layers = ["soft", "loud"]
strands = ["a", "b"]
overlap_sec = 0.5

[dynamics]
controller = 1
[volume]
controllers = [7, 11]
[stagger]
by = "zone"
starts = []

[[zones]]
rank = "keel"
root = 60
low = 49
high = 60
start = 0
beds = {soft = ["beds/sa.wav", "beds/sb.wav"], loud = ["beds/la.wav", "beds/lb.wav"]}

[[zones]]
rank = "keel"
root = 72
low = 61
high = 72
start = 0.5
beds = {soft = ["beds/sc.wav", "beds/sd.wav"], loud = ["beds/lc.wav", "beds/ld.wav"]}
`

func TestHandMadeMapIsLegal(t *testing.T) {
	m, err := Parse([]byte(handMade), "map.toml")
	if err != nil {
		t.Fatal(err)
	}
	if got := m.Zones[1]; got.Root != 72 || got.Start != 0.5 || got.Beds["loud"][1] != "beds/ld.wav" {
		t.Errorf("zone 1: %+v", got)
	}
	if m.ReleaseSec != New().ReleaseSec || m.Polyphony != New().Polyphony {
		t.Errorf("fields left out have not their defaults: %+v", m)
	}
}

func TestProblemsNameLineAndField(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{"version = 1", "version = 2", "map.toml:1: version: 2"},
		{"rate_hz = 48000", "rate_hz = 48", "map.toml:2: rate_hz: 48: expected 8000 to 384000"},
		{"rate_hz = 48000", "middle_c = 'C5'", "map.toml:2: middle_c: "},
		{`layers = ["soft", "loud"]`, `layers = ["soft", "loud", "loud"]`,
			`map.toml:3: layers[2]: "loud" stands twice`},
		{`layers = ["soft", "loud"]`, `layers = []`, "map.toml:3: layers: 0 names"},
		{`layers = ["soft", "loud"]`, `layers = ["Soft", "loud"]`, `map.toml:3: layers[0]: "Soft"`},
		{`strands = ["a", "b"]`, `strands = ["a", ""]`, `map.toml:4: strands[1]: ""`},
		{`strands = ["a", "b"]`, ``, "strands: 0 names"},
		{"overlap_sec = 0.5", "overlap_sec = nan", "map.toml:5: overlap_sec: NaN"},
		{"overlap_sec = 0.5", "overlap_sec = -inf", "map.toml:5: overlap_sec: -Inf"},
		{"overlap_sec = 0.5", "bed_sec = -1", "map.toml:5: bed_sec: -1"},
		{"overlap_sec = 0.5", "attack_sec = 61", "map.toml:5: attack_sec: 61"},
		{"overlap_sec = 0.5", "release_sec = 0", "map.toml:5: release_sec: 0"},
		{"overlap_sec = 0.5", "velocity_amount = 1.5", "map.toml:5: velocity_amount: 1.5"},
		{"overlap_sec = 0.5", "bend_range_semitones = 25", "map.toml:5: bend_range_semitones: 25"},
		{"overlap_sec = 0.5", "polyphony = 0", "map.toml:5: polyphony: 0"},
		{"overlap_sec = 0.5", "headroom_db = -3", "map.toml:5: headroom_db: -3"},
		{"controller = 1", "controller = 64", "map.toml:8: dynamics.controller: 64"},
		{"controller = 1", "controller = 120", "map.toml:8: dynamics.controller: 120"},
		{"controller = 1", "law = 'loud'", "map.toml:8: dynamics.law: "},
		{"controller = 1", "smoothing_sec = 0", "map.toml:8: dynamics.smoothing_sec: 0"},
		{"controller = 1", "initial = 128", "map.toml:8: dynamics.initial: 128"},
		{"controllers = [7, 11]", "controllers = [7, 66]", "map.toml:10: volume.controllers[1]: 66"},
		{"controllers = [7, 11]", "controllers = [1]",
			"map.toml:10: volume.controllers[0]: 1 moves the dynamics already"},
		{"controllers = [7, 11]", "controllers = [7, 7]", "map.toml:10: volume.controllers[1]: 7 stands twice"},
		{`by = "zone"`, `by = "moon"`, `map.toml:12: stagger.by: "moon"`},
		{`by = "zone"`, `by = "key"`, "map.toml:13: stagger.starts: empty"},
		{"starts = []", "starts = [0, 1]", "map.toml:13: stagger.starts[1]: 1: expected turns"},
		{`rank = "keel"`, `rank = ""`, "map.toml:16: zones[0].rank: empty"},
		{"root = 72\n", "", "map.toml:23: zones[1].root: missing"},
		{"high = 72\n", "", "map.toml:23: zones[1].high: missing"},
		{"root = 72", "root = 128", "map.toml:25: zones[1].root: 128"},
		{"low = 61", "low = 73", "map.toml:26: zones[1].low: 73 is above high, 72"},
		{"low = 61", "low = -1", "map.toml:26: zones[1].low: -1"},
		{"low = 61", "low = 60", "map.toml:23: zones[1]: rank keel: keys 60–72 overlap zones[0], keys 49–60"},
		{"start = 0.5", "start = 1.0", "map.toml:28: zones[1].start: 1: expected turns"},
		{"start = 0.5", "start = -0.1", "map.toml:28: zones[1].start: -0.1: expected turns"},
		{"start = 0.5", "start = nan", "map.toml:28: zones[1].start: NaN: expected turns"},
		{`"beds/sc.wav"`, `"../sc.wav"`, `map.toml:29: zones[1].beds: bed "../sc.wav"`},
		{`"beds/sc.wav"`, `"beds/../../sc.wav"`, `map.toml:29: zones[1].beds: bed "beds/../../sc.wav"`},
		{`"beds/sc.wav"`, `"/beds/sc.wav"`, `map.toml:29: zones[1].beds: bed "/beds/sc.wav"`},
		{`"beds/sc.wav"`, `'beds\sc.wav'`, `map.toml:29: zones[1].beds: bed "beds\\sc.wav"`},
		{`"beds/sc.wav"`, `"C:/sc.wav"`, `map.toml:29: zones[1].beds: bed "C:/sc.wav"`},
		{`"beds/sc.wav"`, `""`, `map.toml:29: zones[1].beds: bed ""`},
		{`"beds/sc.wav"`, `"."`, `map.toml:29: zones[1].beds: bed "."`},
		{`, loud = ["beds/lc.wav", "beds/ld.wav"]`, ``,
			"map.toml:29: zones[1].beds: layer loud has 0 beds: expected 2"},
		{`["beds/lc.wav", "beds/ld.wav"]`, `["beds/lc.wav"]`,
			"map.toml:29: zones[1].beds: layer loud has 1 beds: expected 2"},
		{`{soft = ["beds/sc.wav"`, `{hard = [], soft = ["beds/sc.wav"`,
			`map.toml:29: zones[1].beds: layer "hard" is none`},
	} {
		text := strings.Replace(handMade, c.old, c.new, 1)
		if text == handMade {
			t.Fatalf("%q is not in the map", c.old)
		}
		_, err := Parse([]byte(text), "map.toml")
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v\nwant %s", c.new, err, c.want)
		}
	}
}

func TestBedsAsATableOfTheirOwnHaveALine(t *testing.T) {
	text := strings.Replace(handMade,
		`beds = {soft = ["beds/sc.wav", "beds/sd.wav"], loud = ["beds/lc.wav", "beds/ld.wav"]}`,
		"[zones.beds]\nsoft = ['beds/sc.wav', 'beds/sd.wav']\nloud = ['beds/lc.wav']", 1)
	_, err := Parse([]byte(text), "map.toml")
	if want := "map.toml:29: zones[1].beds: layer loud has 1 beds"; err == nil ||
		!strings.Contains(err.Error(), want) {
		t.Errorf("%v\nwant %s", err, want)
	}
}

func TestAllProblemsAreNamedAtOnce(t *testing.T) {
	text := strings.NewReplacer("rate_hz = 48000", "rate_hz = 1", "start = 0.5", "start = 2", "controller = 1",
		"controller = 66").Replace(handMade)
	_, err := Parse([]byte(text), "map.toml")
	for _, want := range []string{"map.toml:2: rate_hz", "map.toml:8: dynamics.controller",
		"map.toml:28: zones[1].start"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v\nwant %s", err, want)
		}
	}
	if _, err := Parse(nil, "map.toml"); err == nil || !strings.Contains(err.Error(), "zones: none found") {
		t.Errorf("an empty file: %v, want that no zones were found", err)
	}
}

// A name that is not UTF-8 would be another name in the saved map.
func TestNamesThatAMapCannotHoldAreRefused(t *testing.T) {
	m := defaultGridMap(t)
	m.Zones[0].Rank = "keel\xff"
	m.Zones[1].Beds["soft"][0] = "beds/\xff.wav"
	err := m.Check()
	for _, want := range []string{"zones[0].rank: ", "zones[1].beds: "} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v\nwant %s", err, want)
		}
	}
}

// Neighbouring layers cross at constant power or constant gain; the ends are exact.
func TestLayerGains(t *testing.T) {
	m := New()
	gains := make([]float64, 3)
	for _, law := range []Law{EqualPower, EqualGain} {
		m.Dynamics.Law = law
		for i := range 1001 {
			m.LayerGains(float64(i)/1000, gains)
			power, sum, sounding := 0.0, 0.0, 0
			for _, gain := range gains {
				power, sum = power+gain*gain, sum+gain
				if gain != 0 {
					sounding++
				}
			}
			if kept := map[Law]float64{EqualPower: power, EqualGain: sum}[law]; math.Abs(kept-1) > 1e-12 ||
				sounding > 2 {
				t.Fatalf("%s at %d/1000: gains %v", law, i, gains)
			}
		}
		for value, want := range map[float64][3]float64{-1: {1, 0, 0}, 0: {1, 0, 0}, 0.5: {0, 1, 0},
			1: {0, 0, 1}, 2: {0, 0, 1}} {
			if m.LayerGains(value, gains); [3]float64(gains) != want {
				t.Errorf("%s at %v: gains %v, want %v", law, value, gains, want)
			}
		}
	}
	one := []float64{9}
	if m.LayerGains(0.7, one); one[0] != 1 {
		t.Errorf("a single layer has gain %v, want 1", one[0])
	}
}

// By even loudness the power of unrelated layers rises evenly in dB from that of one to that of the next, the
// loud one has somewhat more than half of it half-way, and the ends are exact.
func TestEvenLoudness(t *testing.T) {
	for _, layers := range [][]string{{"soft", "loud"}, {"soft", "mid", "loud"}} {
		m := New()
		m.Layers = layers
		m.Dynamics.Law, m.Dynamics.RangeLU = EvenLoudness, 9
		gains := make([]float64, len(layers))
		last := float64(len(layers) - 1)
		for i := range 1001 {
			value := float64(i) / 1000
			m.LayerGains(value, gains)
			power := 0.0
			for layer, gain := range gains {
				power += gain * gain * math.Pow(10, (float64(layer)/last-1)*9/10)
			}
			if lu := 10 * math.Log10(power); math.Abs(lu-9*(value-1)) > 1e-9 {
				t.Fatalf("%d layers at %.3f: %.3f LU, expected %.3f", len(layers), value, lu, 9*(value-1))
			}
		}
	}
	m := New()
	m.Dynamics.Law, m.Dynamics.RangeLU = EvenLoudness, 9
	gains := make([]float64, 2)
	m.LayerGains(0.5, gains)
	soft, loud := math.Pow(gains[0], 2)*math.Pow(10, -0.9), math.Pow(gains[1], 2)
	if share := loud / (soft + loud); share < 0.55 || share > 0.65 {
		t.Errorf("half-way the loud layer has %.0f %% of the power, expected somewhat more than a half", 100*share)
	}
	for value := range 128 {
		if m.LayerGains(float64(value)/127, gains); 20*math.Log10(gains[0]) > 1.1 || gains[1] > 1 {
			t.Errorf("at %d the layers are raised by %.2f and %.2f dB", value, 20*math.Log10(gains[0]),
				20*math.Log10(gains[1]))
		}
	}
	for value, want := range map[float64][2]float64{0: {1, 0}, 1: {0, 1}} {
		if m.LayerGains(value, gains); [2]float64(gains) != want {
			t.Errorf("at %v the gains are %v, expected %v", value, gains, want)
		}
	}
}
