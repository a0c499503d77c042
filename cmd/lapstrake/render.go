// Plays a score into a file.

package main

import (
	"encoding/json"
	"path/filepath"

	"github.com/spf13/pflag"

	"lapstrake/engine/show"
)

// renderOptions are what render is told.
type renderOptions struct {
	player  playerOptions
	output  outputOptions
	tailSec float64

	asPlayed bool
}

func renderCommand() command {
	return command{
		name: "render", words: "DIR SCORE.mid -o OUT.wav",
		summary: "play a Standard MIDI File into a WAV file",
		about: `Plays a Standard MIDI File of format 0, 1 or 2, with any tempo map, into a WAV file.
Notes that are still held at the end of the score are let go there.

A performance of ` + "`lapstrake play --record`" + ` sounds as it was recorded, through what was alone or
silent, exchanged, taken back and loaded anew, as long as maps and beds are what they were at
its end. If a map has changed since, the map as it is now plays, unless --as-played asks for
the maps of the performance, which its score keeps. Beds it does not keep: those that have
changed since are named.`,
		example: "lapstrake render boatyard harbour.mid -o harbour.wav --format float",
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &renderOptions{}
			o.output.addFlags(flags)
			flags.Float64Var(&o.tailSec, "tail", 30, "longest wait for silence after the score, in `seconds`")
			flags.BoolVar(&o.asPlayed, "as-played", false, "play the maps that a recorded performance was played on, "+
				"each in its time")
			o.player.channel.addFlag(flags)
			o.player.addFlags(flags)
			return o.run
		},
	}
}

func (o *renderOptions) run(s streams, args []string) error {
	if len(args) != 2 {
		return wrongWords("render takes a project and a score; found %d arguments", len(args))
	}
	if err := o.output.validate(true); err != nil {
		return err
	}
	if !(o.tailSec >= 0 && o.tailSec <= show.HorizonSec) {
		return wrongWords("--tail %v: expected 0 to %d seconds", o.tailSec, show.HorizonSec)
	}
	sound, s, err := o.output.divide(s)
	if err != nil {
		return err
	}
	score, player, err := o.open(s, args[0], args[1])
	if err != nil {
		return err
	}
	defer player.Close()
	noticeObjections(s, args[0])
	sources, err := sourcesOf(args[0], player.Map())
	if err != nil {
		return err
	}
	if err := o.output.guard(filepath.Dir(sources[0]), append(sources, args[1])); err != nil {
		return err
	}
	p := performance{
		Performance: show.Performance{Engine: player, Events: show.LetGo(score.Events, score.Frames),
			TailSec: o.tailSec},
		sound: sound,
		title: filepath.Base(args[1]),
	}
	result, err := p.render(s, &o.output)
	if err != nil {
		return err
	}
	if o.output.json {
		return json.NewEncoder(s.out).Encode(result)
	}
	result.print(s)
	return nil
}
