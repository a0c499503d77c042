// What the keys of the terminal do while the player plays, and what MIDI can be bound to.

package main

import (
	"strings"

	"lapstrake/engine"
)

// playKey is what a key on the computer's keyboard asks of the player.
type playKey int

const (
	playNothing playKey = iota // the key has no use
	playDynamicsUp
	playDynamicsDown
	playVolumeUp
	playVolumeDown
	playStrike
	playSilence
	playLatch
	playLouder
	playSofter
	playSemitoneUp
	playSemitoneDown
	playOctaveUp
	playOctaveDown
	playPickNext
	playPickMode
	playPickAll
	playExchange
	playBlind
	playUndo
	playDry
	playMark
	playNudgeZone
	playNudgeWhat
	playNudgeDown
	playNudgeUp
	playNudgeBack
	playNudgeKeep
	playResetCounts
	playHelp
	playStop
	playPick1 // and eight more
)

// keyUse is one row of the table of keys.
type keyUse struct {
	key     playKey
	typed   string // every character that means it
	name    string // as the list of keys has it, with the key that does the opposite; "" where that one's row has it
	setting string // in the section [keys] of lapstrake.toml; "" cannot be bound
	about   string
}

var keyUses = []keyUse{
	{playDynamicsUp, "", "up down", "dynamics_up", "dynamics"},
	{playDynamicsDown, "", "", "dynamics_down", ""},
	{playVolumeUp, "", "right left", "volume_up", "volume"},
	{playVolumeDown, "", "", "volume_down", ""},
	{playLouder, "+=", "+ -", "louder", "level of the output"},
	{playSofter, "-", "", "softer", ""},
	{playSemitoneUp, ".", ". , > <", "semitone_up", "transpose by a semitone, by an octave; : and ; do as > and <"},
	{playSemitoneDown, ",", "", "semitone_down", ""},
	{playOctaveUp, ">:", "", "octave_up", ""},
	{playOctaveDown, "<;", "", "octave_down", ""},
	{playStrike, "\r\n", "Enter", "strike", "strike again what is held"},
	{playLatch, "lL", "l", "latch", "latch: the last chord sounds on without hands"},
	{playSilence, " pP", "space", "silence", "all sound off"},
	{playPick1, "", "1-9", "pick_1", "alone or silent, or no more so: what, Tab and x say"},
	{playPickNext, "\t", "Tab", "pick_next", "layers, strands, ranks, zones under the last key"},
	{playPickMode, "xX", "x", "pick_mode", "alone or silent"},
	{playPickAll, "0", "0", "pick_all", "nothing alone or silent any more"},
	{playDry, "dD", "d", "dry", "the beds under the last key, one by one, dry at their root"},
	{playUndo, "uU", "u", "undo", "back to the map before the last reload, and forth"},
	{playExchange, "eE", "e b", "exchange", "exchange the two maps of --against; hide which one plays, and tell"},
	{playBlind, "bB", "", "blind", ""},
	{playNudgeZone, "zZ", "z w", "nudge_zone", "nudge a zone under the last key; its level, tuning, start, silence"},
	{playNudgeWhat, "wW", "", "nudge_what", ""},
	{playNudgeDown, "[(", "[ ]", "nudge_down", "nudge it down, up; ( and ) do so too"},
	{playNudgeUp, "])", "", "nudge_up", ""},
	{playNudgeBack, "tT", "t k", "nudge_back", "take the last nudge back; keep all that is nudged in map.toml"},
	{playNudgeKeep, "kK", "", "nudge_keep", ""},
	{playMark, "mM", "m", "mark", "mark this moment, to be heard again later"},
	{playResetCounts, "rR", "r", "counts", "counts from zero"},
	{playHelp, "?hH", "?", "", "this list, and back"},
	{playStop, "qQ\x03", "q", "stop", "stop"},
}

// keyOf is what a single byte means. Capitals count, for whoever has Caps Lock on; = is + without
// Shift on many keyboards.
func keyOf(b byte) playKey {
	if b >= '1' && b <= '9' {
		return playPick1 + playKey(b-'1')
	}
	for _, use := range keyUses {
		if strings.IndexByte(use.typed, b) >= 0 {
			return use.key
		}
	}
	return playNothing
}

// arrowOf is what an arrow key means, by the last byte of its sequence (ECMA-48, 8.3.22, 8.3.19, 8.3.20, 8.3.18).
func arrowOf(final byte) playKey {
	switch final {
	case 'A':
		return playDynamicsUp
	case 'B':
		return playDynamicsDown
	case 'C':
		return playVolumeUp
	case 'D':
		return playVolumeDown
	}
	return playNothing
}

// keyOfSetting is the key that a setting of [keys] stands for.
func keyOfSetting(setting string) playKey {
	if digit, found := strings.CutPrefix(setting, "pick_"); found && len(digit) == 1 {
		return keyOf(digit[0])
	}
	for _, use := range keyUses {
		if use.setting == setting {
			return use.key
		}
	}
	return playNothing
}

const playKeysHint = "? lists the keys of this terminal, q stops"

// playKeysHelp is the list of the keys.
func playKeysHelp() (lines []string) {
	for _, use := range keyUses {
		if use.name != "" {
			lines = append(lines, padded(use.name, labelColumns)+use.about)
		}
	}
	return lines
}

// serve does what a key asks.
func (p *playing) serve(key playKey) {
	switch key {
	case playDynamicsUp, playDynamicsDown, playVolumeUp, playVolumeDown:
		p.turn(key)
	case playStrike:
		p.engine.StrikeAgain()
	case playSilence:
		p.player.PlayDry(nil)
		p.silence()
	case playLatch:
		p.latch(!p.player.Latch.On())
	case playLouder:
		p.setOutput(p.outputDB + levelStepDB)
	case playSofter:
		p.setOutput(p.outputDB - levelStepDB)
	case playSemitoneUp, playSemitoneDown, playOctaveUp, playOctaveDown:
		p.transpose(map[playKey]int{playSemitoneUp: 1, playSemitoneDown: -1, playOctaveUp: 12,
			playOctaveDown: -12}[key])
	case playPickNext:
		p.picks.facet = (p.picks.facet + 1) % (engine.FacetZone + 1)
	case playPickMode:
		p.picks.silent = !p.picks.silent
	case playPickAll:
		p.engine.SoundAll()
	case playExchange:
		p.exchange()
	case playBlind:
		p.blindOrTell()
	case playUndo:
		p.undo()
	case playDry:
		p.playDry()
	case playMark:
		p.mark("")
	case playNudgeZone, playNudgeWhat, playNudgeDown, playNudgeUp, playNudgeBack, playNudgeKeep:
		p.nudge(key)
	case playResetCounts:
		p.line.resetCounts()
		p.player.ResetLoad()
	case playHelp:
		p.line.help()
	}
	if key >= playPick1 {
		p.pick(int(key - playPick1))
	}
}
