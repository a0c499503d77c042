// The key map: every file of the sets, and what a sampler needs to know about it.

package export

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"lapstrake/mapping"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes"
)

// keyMapVersion is that of keymap.json's layout.
const keyMapVersion = 2

//go:embed keymap.schema.json
var keyMapSchemaText []byte

// KeyMap is the content of keymap.json, which keymap.schema.json describes.
type KeyMap struct {
	Schema             string   `json:"$schema"`
	Version            int      `json:"version"`
	Title              string   `json:"title"`
	Artist             string   `json:"artist,omitempty"`
	MiddleC            string   `json:"middle_c"` // the name of key 60
	Layers             []string `json:"layers"`
	AttackSec          float64  `json:"attack_sec"`
	AttackShape        string   `json:"attack_shape"`
	ReleaseSec         float64  `json:"release_sec"` // in which a released note falls by 60 dB
	ReleaseShape       string   `json:"release_shape"`
	BendSemitones      float64  `json:"bend_range_semitones"`
	BendInitial        int      `json:"bend_initial"`
	BendSmoothingSec   float64  `json:"bend_smoothing_sec"`
	VelocityAmount     float64  `json:"velocity_amount"`
	Voices             int      `json:"voices"` // files that may sound at once
	VolumeControllers  []int    `json:"volume_controllers"`
	VolumeInitial      int      `json:"volume_initial"`
	VolumeSmoothingSec float64  `json:"volume_smoothing_sec"`
	HoldPedal          int      `json:"hold_pedal"`
	SostenutoPedal     int      `json:"sostenuto_pedal"`
	PedalDownFrom      int      `json:"pedal_down_from"`
	Presses            string   `json:"presses"` // what the player makes of files for several presses
	PressScope         string   `json:"press_scope"`
	DynamicsController int      `json:"dynamics_controller"`
	DynamicsInitial    int      `json:"dynamics_initial"`
	DynamicsSmoothing  float64  `json:"dynamics_smoothing_sec"`
	DynamicsLaw        string   `json:"dynamics_law"`
	DynamicsFormula    string   `json:"dynamics_formula"`
	DynamicsTable      []LawRow `json:"dynamics_table"`
	Files              []KeyRow `json:"files"`
}

// LawRow is the level of each layer at a value of the dynamics controller.
type LawRow struct {
	Value int        `json:"value"`
	Gains []*float64 `json:"gain_db"` // of each layer, in dB; null: silent
}

// KeyRow is one file on one run of keys, on all of which it is equally loud and equally tuned.
type KeyRow struct {
	File           string  `json:"file"`    // from the export's folder, with forward slashes
	Format         string  `json:"format"`  // the name of its part
	Samples        string  `json:"samples"` // wav.Format
	Channels       int     `json:"channels"`
	SHA256         string  `json:"sha256"`
	Group          string  `json:"group"` // of all files of its layer and rank
	Layer          string  `json:"layer"`
	Rank           string  `json:"rank"`
	Root           int     `json:"root"`
	RootName       string  `json:"root_name"`
	Low            int     `json:"low"`
	LowName        string  `json:"low_name"`
	High           int     `json:"high"`
	HighName       string  `json:"high_name"`
	LowVelocity    int     `json:"low_velocity"`
	HighVelocity   int     `json:"high_velocity"`
	StartTurns     float64 `json:"start_turns"`
	Press          int     `json:"press"`
	PressOf        int     `json:"press_of"`
	RateHz         int     `json:"rate_hz"`
	Frames         int64   `json:"frames"`
	BeginFrame     int64   `json:"begin_frame"` // at which a note begins
	LoopStart      int64   `json:"loop_start_frame"`
	LoopEnd        int64   `json:"loop_end_frame"` // the last frame of the loop
	GainDB         float64 `json:"gain_db"`
	TuneCents      float64 `json:"tune_cents"`      // above what the distance of a key from the root says
	ControllerFrom int     `json:"controller_from"` // below this value of the dynamics controller it is silent
	ControllerFull int     `json:"controller_full"` // at this value it is loudest
	ControllerTo   int     `json:"controller_to"`   // above this value it is silent

	// of the file, without its level; null where it is too short or too quiet
	LoudnessLUFS *float64 `json:"loudness_lufs"`
	TruePeakDBTP *float64 `json:"true_peak_dbtp"`
}

// What the player does where a zone has files for several presses.
const (
	onePress    = "one"   // no zone has
	pressesTurn = "turns" // they take turns, by the presses of each key
	// it plays press 1 at every press; the others are there for whoever wants presses to differ
	pressesWaiver = "offered"
)

// keyMap lists the files of all sets; sums are their checksums by name.
func (j *Job) keyMap(items []Item, sums map[string]string) *KeyMap {
	k := j.keyMapHead(items)
	for _, folder := range j.folders() {
		for i := range items {
			for _, row := range j.keyRows(&items[i], folder.fileName(&items[i]), folder.name) {
				row.SHA256 = sums[row.File]
				k.Files = append(k.Files, row)
			}
		}
	}
	return k
}

// keyMapHead is a key map without files, of an instrument that plays the items.
func (j *Job) keyMapHead(items []Item) *KeyMap {
	const full, centre, hold, sostenuto, down = 127, 8192, 64, 66, 64 // MIDI 1.0
	m := j.Map
	return &KeyMap{
		Schema: keyMapSchema, Version: keyMapVersion, Title: j.Title, Artist: j.Artist,
		MiddleC: string(m.MiddleC), Layers: m.Layers,
		AttackSec: m.AttackSec, AttackShape: "raised-cosine", ReleaseSec: m.ReleaseSec, ReleaseShape: "even-decibels",
		BendSemitones: m.BendSemitones, BendInitial: centre, BendSmoothingSec: mapping.BendSmoothingSec,
		VelocityAmount: m.VelocityAmount, Voices: m.Polyphony, VolumeControllers: m.Volume.Controllers,
		VolumeInitial:      full,
		VolumeSmoothingSec: mapping.VolumeSmoothingSec,
		HoldPedal:          hold, SostenutoPedal: sostenuto, PedalDownFrom: down,
		Presses: j.presses(items), PressScope: "key",
		DynamicsController: m.Dynamics.Controller, DynamicsInitial: m.Dynamics.Initial,
		DynamicsSmoothing: m.Dynamics.SmoothingSec, DynamicsLaw: string(m.Dynamics.Law),
		DynamicsFormula: m.LawFormula(),
		DynamicsTable:   lawTable(m), Files: []KeyRow{},
	}
}

// presses says what the player makes of the items' presses.
func (j *Job) presses(items []Item) string {
	switch {
	case !slices.ContainsFunc(items, func(i Item) bool { return i.Of > 1 }):
		return onePress
	case j.Map.Stagger.By == mapping.ByPress:
		return pressesTurn
	}
	return pressesWaiver
}

// keyRows gives a row for each run of keys of an item, without checksums.
func (j *Job) keyRows(i *Item, file, format string) (rows []KeyRow) {
	for _, run := range j.keyRuns(i) {
		row := j.keyRow(i, run.KeyRange)
		row.File, row.Format, row.GainDB = file, format, math.Round(1e6*(run.gainDB-j.Map.HeadroomDB))/1e6+0
		row.TuneCents = run.tuneCents
		rows = append(rows, row)
	}
	return rows
}

// keyRow is the row of an item on some keys, without file and level.
func (j *Job) keyRow(i *Item, keys mapping.KeyRange) KeyRow {
	name := j.Map.MiddleC.Name
	from, full, to := controllerRange(j.Map, i.Layer)
	return KeyRow{
		Samples: j.Format.String(), Channels: i.Cycle.channels(), Group: j.groupName(i),
		LoudnessLUFS: rounded(i.measured.integratedLUFS), TruePeakDBTP: rounded(i.measured.truePeakDBTP),
		Layer: j.Map.Layers[i.Layer], Rank: i.Zone.Rank,
		Root: i.Zone.Root, RootName: name(i.Zone.Root),
		Low: keys.Low, LowName: name(keys.Low), High: keys.High, HighName: name(keys.High),
		LowVelocity: lowestVelocity, HighVelocity: highestVelocity, StartTurns: i.Start, Press: i.Press, PressOf: i.Of,
		RateHz: i.Cycle.RateHz, Frames: i.Frames(), LoopStart: 0, LoopEnd: i.Frames() - 1,
		ControllerFrom: from, ControllerFull: full, ControllerTo: to,
	}
}

// groupName is that of the group of an item's layer and rank, all of whose zones stand side by side.
func (j *Job) groupName(i *Item) string { return j.Map.Layers[i.Layer] + " " + i.Zone.Rank }

// rounded is a figure to a hundredth; nil where there is none.
func rounded(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	x = math.Round(100*x)/100 + 0 // no minus before a zero
	return &x
}

// controllerRange says where on the dynamics controller a layer sounds: at from and at to its neighbours sound alone.
func controllerRange(m *mapping.Map, layer int) (from, full, to int) {
	last := len(m.Layers) - 1
	if last == 0 {
		return 0, 0, 127
	}
	at := func(layer int) int { return int(math.Round(127 * float64(min(max(layer, 0), last)) / float64(last))) }
	return at(layer - 1), at(layer), at(layer + 1)
}

// lawTable gives the dynamics crossfade at some values of its controller.
func lawTable(m *mapping.Map) (rows []LawRow) {
	gains := make([]float64, len(m.Layers))
	for _, value := range []int{0, 8, 16, 24, 32, 40, 48, 56, 64, 72, 80, 88, 96, 104, 112, 120, 127} {
		m.LayerGains(float64(value)/127, gains)
		row := LawRow{Value: value}
		for _, gain := range gains {
			var dB *float64
			if gain > 1e-6 {
				tenth := math.Round(10*sound.AmplitudeDB(gain))/10 + 0
				dB = &tenth
			}
			row.Gains = append(row.Gains, dB)
		}
		rows = append(rows, row)
	}
	return rows
}

func (k *KeyMap) json() ([]byte, error) {
	data, err := json.MarshalIndent(k, "", "  ")
	return append(data, '\n'), err
}

// known prints a figure; nothing where there is none.
func known(x *float64) string {
	if x == nil {
		return ""
	}
	return decimal(*x)
}

// csv gives a row for each file, with the names of keymap.json as its columns.
func (k *KeyMap) csv() ([]byte, error) {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.Write([]string{"file", "format", "samples", "channels", "sha256", "group", "layer", "rank", "root", "root_name",
		"low", "low_name", "high", "high_name",
		"low_velocity", "high_velocity", "start_turns", "press", "press_of", "rate_hz", "frames",
		"begin_frame", "loop_start_frame", "loop_end_frame", "gain_db", "tune_cents", "loudness_lufs",
		"true_peak_dbtp",
		"dynamics_controller", "controller_from", "controller_full", "controller_to"})
	for _, r := range k.Files {
		w.Write([]string{r.File, r.Format, r.Samples, fmt.Sprint(r.Channels), r.SHA256, r.Group, r.Layer,
			takes.Defuse(r.Rank), fmt.Sprint(r.Root), r.RootName,
			fmt.Sprint(r.Low), r.LowName, fmt.Sprint(r.High), r.HighName,
			fmt.Sprint(r.LowVelocity), fmt.Sprint(r.HighVelocity), decimal(r.StartTurns),
			fmt.Sprint(r.Press), fmt.Sprint(r.PressOf), fmt.Sprint(r.RateHz), fmt.Sprint(r.Frames),
			fmt.Sprint(r.BeginFrame), fmt.Sprint(r.LoopStart), fmt.Sprint(r.LoopEnd), decimal(r.GainDB),
			decimal(r.TuneCents),
			known(r.LoudnessLUFS), known(r.TruePeakDBTP),
			fmt.Sprint(k.DynamicsController), fmt.Sprint(r.ControllerFrom), fmt.Sprint(r.ControllerFull),
			fmt.Sprint(r.ControllerTo)})
	}
	w.Flush()
	return out.Bytes(), w.Error()
}
