// What the keys of the terminal do while the player plays, and what MIDI can be bound to.

package main

import (
	"fmt"
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
	playResetCounts
	playHelp
	playStop
	playPick1 // and eight more
)

// keyUse is one row of the table of keys.
type keyUse struct {
	key     playKey
	typed   string // every character that means it
	name    string // as the help has it
	setting string // in the section [keys] of lapstrake.toml; "" cannot be bound
	about   string
}

var keyUses = []keyUse{
	{playDynamicsUp, "", "up", "dynamics_up", "dynamics up"},
	{playDynamicsDown, "", "down", "dynamics_down", "dynamics down"},
	{playVolumeUp, "", "right", "volume_up", "volume up"},
	{playVolumeDown, "", "left", "volume_down", "volume down"},
	{playStrike, "\r\n", "Enter", "strike", "strike again what is held"},
	{playSilence, " pP", "space p", "silence", "all sound off"},
	{playLatch, "lL", "l", "latch", "latch: the last chord sounds on without hands"},
	{playLouder, "+=", "+", "louder", "output level up"},
	{playSofter, "-", "-", "softer", "output level down"},
	{playSemitoneUp, ".", ".", "semitone_up", "transpose up by a semitone"},
	{playSemitoneDown, ",", ",", "semitone_down", "transpose down by a semitone"},
	{playOctaveUp, ">:", "> :", "octave_up", "transpose up by an octave"},
	{playOctaveDown, "<;", "< ;", "octave_down", "transpose down by an octave"},
	{playPickNext, "\t", "Tab", "pick_next", "what the digits pick: layers, strands, ranks, zones under the last key"},
	{playPickMode, "xX", "x", "pick_mode", "whether they make it sound alone or silent"},
	{playPick1, "", "1-9", "pick_1", "alone or silent, or no more so"},
	{playPickAll, "0", "0", "pick_all", "nothing alone or silent any more"},
	{playExchange, "eE", "e", "exchange", "exchange the two maps of --against"},
	{playBlind, "bB", "b", "blind", "do not tell which of the two plays; once more tells"},
	{playUndo, "uU", "u", "undo", "back to the map before the last reload, and forth"},
	{playDry, "dD", "d", "dry", "the beds under the last key, one after the other, dry at their root"},
	{playResetCounts, "rR", "r", "counts", "counts from zero"},
	{playHelp, "?hH", "?", "", "this help"},
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
func playKeysHelp() string {
	var lines []string
	for _, use := range keyUses {
		lines = append(lines, fmt.Sprintf("%-8s %s", use.name, use.about))
	}
	return strings.Join(lines, "\n")
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
		p.transpose(map[playKey]int{playSemitoneUp: 1, playSemitoneDown: -1, playOctaveUp: 12, playOctaveDown: -12}[key])
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
	case playResetCounts:
		p.line.resetCounts()
		p.player.ResetLoad()
	case playHelp:
		p.line.say(playKeysHelp())
	}
	if key >= playPick1 {
		p.pick(int(key - playPick1))
	}
}
