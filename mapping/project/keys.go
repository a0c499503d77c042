// MIDI messages that do what keys of the terminal do while playing.

package project

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"lapstrake/mapping"
)

// KeySettings bind MIDI messages, in the words of ParseTrigger, to what the player does; "" binds none.
type KeySettings struct {
	DynamicsUp   string `toml:"dynamics_up"`
	DynamicsDown string `toml:"dynamics_down"`
	VolumeUp     string `toml:"volume_up"`
	VolumeDown   string `toml:"volume_down"`
	Strike       string `toml:"strike"`
	Silence      string `toml:"silence"`
	Latch        string `toml:"latch"`
	Louder       string `toml:"louder"`
	Softer       string `toml:"softer"`
	SemitoneUp   string `toml:"semitone_up"`
	SemitoneDown string `toml:"semitone_down"`
	OctaveUp     string `toml:"octave_up"`
	OctaveDown   string `toml:"octave_down"`
	PickNext     string `toml:"pick_next"`
	PickMode     string `toml:"pick_mode"`
	Pick1        string `toml:"pick_1"`
	Pick2        string `toml:"pick_2"`
	Pick3        string `toml:"pick_3"`
	Pick4        string `toml:"pick_4"`
	Pick5        string `toml:"pick_5"`
	Pick6        string `toml:"pick_6"`
	Pick7        string `toml:"pick_7"`
	Pick8        string `toml:"pick_8"`
	Pick9        string `toml:"pick_9"`
	PickAll      string `toml:"pick_all"`
	Exchange     string `toml:"exchange"`
	Blind        string `toml:"blind"`
	Undo         string `toml:"undo"`
	Dry          string `toml:"dry"`
	Mark         string `toml:"mark"`
	NudgeZone    string `toml:"nudge_zone"`
	NudgeWhat    string `toml:"nudge_what"`
	NudgeDown    string `toml:"nudge_down"`
	NudgeUp      string `toml:"nudge_up"`
	NudgeBack    string `toml:"nudge_back"`
	NudgeKeep    string `toml:"nudge_keep"`
	Counts       string `toml:"counts"`
	Stop         string `toml:"stop"`
}

// keySettings tells what each does.
var keySettings = []struct{ setting, about string }{
	{"dynamics_up", "dynamics up"},
	{"dynamics_down", "dynamics down"},
	{"volume_up", "volume up"},
	{"volume_down", "volume down"},
	{"strike", "strike again what is held"},
	{"silence", "all sound off"},
	{"latch", "latch: the last chord sounds on without hands"},
	{"louder", "output level up"},
	{"softer", "output level down"},
	{"semitone_up", "transpose up by a semitone"},
	{"semitone_down", "transpose down by a semitone"},
	{"octave_up", "transpose up by an octave"},
	{"octave_down", "transpose down by an octave"},
	{"pick_next", "what the digits pick: layers, strands, ranks, zones under the last key"},
	{"pick_mode", "whether they make it sound alone or silent"},
	{"pick_1", "what the digit 1 does: alone or silent, or no more so"},
	{"pick_2", "what the digit 2 does: alone or silent, or no more so"},
	{"pick_3", "what the digit 3 does: alone or silent, or no more so"},
	{"pick_4", "what the digit 4 does: alone or silent, or no more so"},
	{"pick_5", "what the digit 5 does: alone or silent, or no more so"},
	{"pick_6", "what the digit 6 does: alone or silent, or no more so"},
	{"pick_7", "what the digit 7 does: alone or silent, or no more so"},
	{"pick_8", "what the digit 8 does: alone or silent, or no more so"},
	{"pick_9", "what the digit 9 does: alone or silent, or no more so"},
	{"pick_all", "nothing alone or silent any more"},
	{"exchange", "exchange the two maps of --against"},
	{"blind", "do not tell which of the two plays; once more tells"},
	{"undo", "back to the map before the last reload, and forth"},
	{"dry", "the beds under the last key, one after the other, dry at their root"},
	{"mark", "mark this moment"},
	{"nudge_zone", "which zone is nudged: the next one under the last key"},
	{"nudge_what", "what of it: level, tuning, start, silence"},
	{"nudge_down", "nudge it down by a step"},
	{"nudge_up", "nudge it up by a step"},
	{"nudge_back", "take the last nudge back"},
	{"nudge_keep", "keep all that is nudged in map.toml"},
	{"counts", "counts from zero"},
	{"stop", "stop"},
}

// Trigger is a MIDI message: a key that is struck, or a controller that rises to 64 or more.
type Trigger struct {
	Controller bool // or else a key
	Number     int  // 0 to 127
}

// ParseTrigger reads "note 21" or "controller 80".
func ParseTrigger(text string) (Trigger, error) {
	kind, number, _ := strings.Cut(text, " ")
	n, err := strconv.Atoi(number)
	if kind != "note" && kind != "controller" || err != nil || n < mapping.LowestKey || n > mapping.HighestKey {
		return Trigger{}, fmt.Errorf("%q: expected note or controller with a number from 0 to 127, such as "+
			`"note 21"`, text)
	}
	return Trigger{kind == "controller", n}, nil
}

// Triggers tells what each bound message does, by the names of the settings.
func (k *KeySettings) Triggers() (bound map[Trigger]string, err error) {
	bound = map[Trigger]string{}
	values := reflect.ValueOf(k).Elem()
	for i, use := range keySettings {
		text := values.Field(i).String()
		if text == "" {
			continue
		}
		t, err := ParseTrigger(text)
		if err != nil {
			return nil, fmt.Errorf("keys.%s: %w", use.setting, err)
		}
		bound[t] = use.setting
	}
	return bound, nil
}

// checkKeys refuses a message that is bound twice.
func (s *Settings) checkKeys(add addProblem) {
	values := reflect.ValueOf(&s.Keys).Elem()
	first := map[string]string{}
	for i, use := range keySettings {
		text := values.Field(i).String()
		if before, bound := first[text]; bound && text != "" {
			add("keys."+use.setting, "%q is bound to keys.%s already: expected another message", text, before)
		}
		first[text] = use.setting
	}
}
