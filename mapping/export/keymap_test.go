// The key map follows its schema and says what a sampler needs to know about every file. The instructions say the
// same.

package export

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"lapstrake/mapping"
	"lapstrake/mapping/wav"
)

// schema compiles keymap.schema.json with a general validator of JSON Schema 2020-12.
func schema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(keyMapSchemaText))
	if err != nil {
		t.Fatal(err)
	}
	compiler := jsonschema.NewCompiler()
	if err := compiler.AddResource(keyMapSchema, document); err != nil {
		t.Fatal(err)
	}
	compiled, err := compiler.Compile(keyMapSchema)
	if err != nil {
		t.Fatal(err)
	}
	return compiled
}

// keyMapOf is a job's key map; all its files have one checksum, and no loudness.
func keyMapOf(t *testing.T, j *Job) *KeyMap {
	t.Helper()
	items, sums := itemsOf(t, j), map[string]string{}
	for i := range items {
		items[i].measured = &measures{integratedLUFS: math.NaN(), truePeakDBTP: -1.234}
		for _, p := range j.folders() {
			sums[p.fileName(&items[i])] = strings.Repeat("0f", 32)
		}
	}
	return j.keyMap(items, sums)
}

func valid(t *testing.T, s *jsonschema.Schema, data []byte) error {
	t.Helper()
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return s.Validate(document)
}

// Every kind of map gives a key map that the schema allows. The schema refuses broken key maps.
func TestKeyMapFollowsItsSchema(t *testing.T) {
	compiled := schema(t)
	var data []byte
	for name, change := range map[string]func(*Job){
		"as it is": nil,
		"both sets, by press": func(j *Job) {
			j.Parts, j.Starts = append(j.Parts, AIFF), AllStarts
			j.Map.Stagger = mapping.Stagger{By: mapping.ByPress, Starts: mapping.DefaultStarts()}
		},
		"by key, no volume": func(j *Job) {
			j.Starts, j.Artist, j.Map.Volume.Controllers = AllStarts, "", []int{}
			j.Map.Stagger = mapping.Stagger{By: mapping.ByKey, Starts: mapping.DefaultStarts()}
		},
	} {
		j := yard(t, change)
		var err error
		if data, err = keyMapOf(t, j).json(); err != nil {
			t.Fatal(err)
		}
		if err := valid(t, compiled, data); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, broken := range [][2]string{{`"version": 2`, `"version": 1`}, {`"root": 36`, `"root": 136`},
		{`"root": 36`, `"root": "C2"`}, {`"layer"`, `"Layer"`}, {`"middle_c": "C4"`, `"middle_c": "C5"`}} {
		text := strings.Replace(string(data), broken[0], broken[1], 1)
		if text == string(data) {
			t.Fatalf("no %s in the key map", broken[0])
		}
		if valid(t, compiled, []byte(text)) == nil {
			t.Errorf("the schema allows %s", broken[1])
		}
	}
}

// keymap.csv has the rows of keymap.json, cell by cell under the same names.
func TestKeyMapCSVIsTheJSON(t *testing.T) {
	j := yard(t, func(j *Job) { j.Parts = append(j.Parts, AIFF) })
	k := keyMapOf(t, j)
	text, err := k.csv()
	if err != nil {
		t.Fatal(err)
	}
	data, err := k.json()
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var document struct {
		Controller int                          `json:"dynamics_controller"`
		Files      []map[string]json.RawMessage `json:"files"`
	}
	if err := json.Unmarshal(data, &document); err != nil {
		t.Fatal(err)
	}
	if len(rows)-1 != len(document.Files) || len(document.Files) != 2*6 {
		t.Fatalf("%d rows and %d files, want 12", len(rows)-1, len(document.Files))
	}
	for i, file := range document.Files {
		if len(rows[0]) != len(file)+1 {
			t.Fatalf("%d columns, %d fields", len(rows[0]), len(file))
		}
		for c, name := range rows[0] {
			want := strings.Trim(strings.TrimPrefix(string(file[name]), "null"), `"`)
			if name == "dynamics_controller" {
				want = "1"
			}
			if rows[i+1][c] != want {
				t.Errorf("row %d, %s: %q, want %q", i+1, name, rows[i+1][c], want)
			}
		}
	}
}

// What the player does with files for several presses stands in the key map: they take turns, or are only offered.
func TestKeyMapSaysWhatPressesDo(t *testing.T) {
	for by, c := range map[mapping.By]struct {
		starts Starts
		want   string
	}{mapping.ByPress: {AllStarts, "turns"}, mapping.ByZone: {AllStarts, "offered"},
		mapping.ByKey: {AllStarts, "one"}} {
		j := yard(t, func(j *Job) {
			j.Map.Stagger, j.Starts = mapping.Stagger{By: by, Starts: mapping.DefaultStarts()}, c.starts
		})
		if k := keyMapOf(t, j); k.Presses != c.want || k.PressScope != "key" {
			t.Errorf("by %s: presses %q of each %q, want %q of each key", by, k.Presses, k.PressScope, c.want)
		}
		j.Starts = FirstStart
		if k := keyMapOf(t, j); k.Presses != "one" {
			t.Errorf("by %s, the first start alone: presses %q, want one", by, k.Presses)
		}
	}
}

// The rows of a zone, worked out by hand from the map of the tests.
func TestKeyRows(t *testing.T) {
	j := yard(t, nil)
	k := keyMapOf(t, j)
	peak := -1.23
	want := KeyRow{File: "wav/loud_C/loud_C_root-048-C3_keys-037-C#2-to-048-C3.wav", Format: "wav", Samples: "24",
		Channels: 2, SHA256: strings.Repeat("0f", 32), Group: "loud C", TruePeakDBTP: &peak, Layer: "loud", Rank: "C",
		Root: 48, RootName: "C3", Low: 37, LowName: "C#2", High: 48, HighName: "C3", LowVelocity: 1, HighVelocity: 127,
		StartTurns: 0.75, Press: 1, PressOf: 1, RateHz: 8000, Frames: yardFrames, LoopEnd: yardFrames - 1, GainDB: -12,
		ControllerFrom: 0, ControllerFull: 127, ControllerTo: 127}
	if !reflect.DeepEqual(k.Files[4], want) {
		t.Errorf("%+v, want %+v", k.Files[4], want)
	}
	if soft := k.Files[0]; soft.ControllerFrom != 0 || soft.ControllerFull != 0 || soft.ControllerTo != 127 {
		t.Errorf("the soft layer sounds from %d over %d to %d", soft.ControllerFrom, soft.ControllerFull,
			soft.ControllerTo)
	}
	// cos and sin of a quarter turn: the textbook's law of equal power.
	for _, row := range k.DynamicsTable {
		sin, cos := math.Sincos(float64(row.Value) / 127 * math.Pi / 2)
		for i, gain := range []float64{cos, sin} {
			switch dB := row.Gains[i]; {
			case dB == nil && gain > 1e-6, dB != nil && math.Abs(*dB-20*math.Log10(gain)) > 0.051:
				t.Errorf("value %d, layer %d: %v, want %.2f dB", row.Value, i, dB, 20*math.Log10(gain))
			}
		}
	}
}

// Where the map fades at seams, every file has a row for each of its keys, and its level there is the map's.
func TestKeyRowsFollowTheFade(t *testing.T) {
	j := yard(t, func(j *Job) { j.Map.SeamFadeDB, j.Map.HeadroomDB = 12, 10.5 })
	k := keyMapOf(t, j)
	power := map[string]map[int]float64{} // by layer and key
	for _, row := range k.Files {
		for key := row.Low; key <= row.High; key++ {
			for i := range j.Map.Zones {
				z := &j.Map.Zones[i]
				if z.Root != row.Root {
					continue
				}
				if want := 20*math.Log10(j.Map.ZoneGain(z, key)) - 10.5; math.Abs(row.GainDB-want) > 0.0051 {
					t.Errorf("%s, key %d: %v dB, want %.3f", row.File, key, row.GainDB, want)
				}
			}
			if power[row.Layer] == nil {
				power[row.Layer] = map[int]float64{}
			}
			power[row.Layer][key] += math.Pow(10, row.GainDB/10)
		}
	}
	for layer, keys := range power {
		if len(keys) != 24 {
			t.Errorf("layer %s: %d keys, want 24", layer, len(keys))
		}
		for key, sum := range keys { // two ranks at the headroom
			if off := 10*math.Log10(sum/2) + 10.5; math.Abs(off) > 0.01 {
				t.Errorf("layer %s, key %d: all files together are %.3f dB off", layer, key, off)
			}
		}
	}
}

func howToOf(t *testing.T, change func(*Job)) string {
	t.Helper()
	j := yard(t, change)
	laid, err := j.layOut()
	if err != nil {
		t.Fatal(err)
	}
	text, err := (&writer{Job: j, laid: laid}).howTo()
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// The instructions hold what a builder has to type in, of every kind of map, within lines that a page can print.
func TestHowTo(t *testing.T) {
	for name, c := range map[string]struct {
		change  func(*Job)
		says    []string
		not     []string
		longest int
	}{
		"mono": {func(j *Job) { j.Cycles = mono(j.Cycles) },
			[]string{"13. Files of one channel sound equally on both sides"}, []string{"Starts:"}, 125},
		"as it is": {nil, []string{"allow for 80 at least", "4 s at most", "along 0.5 - 0.5 cos(pi t / 0.05)",
			"half of 0.03 s,\n   0.02 s and 0.004 s", "p = value/127\n     lower layer cos(p*pi/2)\n",
			"Mind your ears", "key 60, middle C, is called C4 here. Some programs call it C3",
			"\n     rank C: soft, loud\n     rank F#: soft, loud\n",
			"rank F#, root F#2 (42): keys G1 to F#2 (31 to 42)", "at -12 dB", "on controller 1, which stands at 64",
			"\n        64     -3.1     -3.0\n", "\n         0      0.0      off\n",
			"controller 7 and controller 11, each 40 log10(value/127) dB", "0.05 s from silence", "then 2 s in which",
			"a key sounds 4 files", "takes 40 voices",
			"program 0: Yard: dynamics on controller 1", "up to 3.9 dB too loud",
			"\n     dynamics      0   16   32   48   64   80   96  112  127\n     program 2   127  126  122  116  " +
				"106   94   78   55    0\n     program 3     0   56   79   95  107  116  122  126  127\n",
			"takes 8 of the player's voices"}, []string{"<no value>", "Starts:", "made smaller"}, 125},
		"one layer, by press": {func(j *Job) {
			j.Map.Layers, j.Map.Stagger, j.Starts = []string{"soft"},
				mapping.Stagger{By: mapping.ByPress, Starts: []float64{0, 0.5}}, AllStarts
			for i := range j.Map.Zones {
				delete(j.Map.Zones[i].Beds, "loud")
			}
		}, []string{"There is one layer", "take the next one at each press of a key",
			"takes 4 of the player's voices"}, []string{"controller 1,", "too loud"}, 125},
		"by key, aiff, middle C3, equal gain": {func(j *Job) {
			j.Map.MiddleC, j.Map.Dynamics.Law, j.Map.VelocityAmount = mapping.MiddleC3, mapping.EqualGain, 0.5
			j.Map.Stagger = mapping.Stagger{By: mapping.ByKey, Starts: []float64{0, 0.5}}
			j.Parts, j.Format = Parts{AIFF}, wav.PCM16
		}, []string{"is called C3 here. Some programs call it C4", "aiff/", "16 bits", "lowest key alone",
			"equal gain: -6 dB", "20 log10(velocity/127)"}, []string{"bank.dls", "WAV"}, 125},
		"three layers on controller 2": {func(j *Job) {
			j.Map.Layers, j.Map.Dynamics.Controller = []string{"soft", "middle", "loud"}, 2
			for i := range j.Map.Zones {
				j.Map.Zones[i].Beds["middle"] = j.Map.Zones[i].Beds["soft"]
			}
		}, []string{"     value     soft   middle     loud\n",
			"The files above fade on controller 2; the bank can do so on controller 1 alone.",
			"\n     program 4     0    0    0    0   ", "those between have programs of their own",
			"A note of program 0 takes 8 of"}, nil, 125},
		"one rank, by key, all starts": {func(j *Job) {
			j.Map.Zones, j.Map.HeadroomDB, j.Map.BendSemitones, j.Map.Volume.Controllers = j.Map.Zones[:2],
				12.4, 12, []int{20}
			j.Map.Stagger, j.Starts = mapping.Stagger{By: mapping.ByKey, Starts: []float64{0, 0.5}}, AllStarts
		}, []string{"root C2 (36): keys C#1 to C#1 (25 to 25), start 0.500\n",
			"tells the first run of keys and how many more", "set keys and level by hand",
			"never overlap.\n   No velocity", "at -12.4 dB", "already, to the nearest dB.",
			"the volume, whatever the files' controllers are.",
			"parameter 0 sets it to 12: send controllers 101 = 0, 100 = 0,\n6 = 12 and 38 = 0 on"},
			[]string{"the ranks overlap"}, 125},
		"all starts of one": {func(j *Job) {
			j.Starts = AllStarts
			j.Map.Stagger = mapping.Stagger{By: mapping.ByKey, Starts: []float64{0}}
		}, nil, []string{"several files", "Starts:", "-more"}, 125},
		"a fade at seams": {func(j *Job) { j.Map.SeamFadeDB = 12 }, []string{
			"rank F#, root F#2 (42): keys G1 to F#2 (31 to 42)", // the zones are told as they are
			"These are the dB to add to -12, \"-\" where a rank has no zone:\n",
			"keys                       rank C  rank F#\n",
			"\n     C#1 to F#1 (25 to 30)        3.01        -\n     G1 (31)                      2.67    -8.28\n",
			"at -8.99 dB. Its programs", "lowered by a\nconnection from no source to gain",
			"up to 3.01 dB too loud, and the borders",
			"and so is any\nplayer on keys where a rank is lowered. In all these cases play\nthe programs"}, nil, 125},
		"no headroom": {func(j *Job) { j.Map.HeadroomDB = 0 }, []string{"at 0 dB"}, []string{"-0 dB", "registered"},
			125},
		"a small bank alone": {func(j *Job) {
			j.Parts, j.Variant.GaveUp = Parts{Bank},
				[]string{"16000 Hz instead of 48000"}
		}, []string{"bank.dls holds all cycles", "This bank was made smaller: 16000 Hz instead of 48000."},
			[]string{"keymap", "BY HAND"}, 125},
	} {
		text := howToOf(t, c.change)
		for _, says := range c.says {
			if !strings.Contains(text, says) {
				t.Errorf("%s: %q is not said in\n%s", name, says, text)
			}
		}
		for _, not := range c.not {
			if strings.Contains(text, not) {
				t.Errorf("%s: %q is said in\n%s", name, not, text)
			}
		}
		for line := range strings.Lines(text) {
			if len(line) > c.longest {
				t.Errorf("%s: a line of %d characters: %s", name, len(line), line)
			}
		}
	}
}
