// Holds a chord, or moves the dynamics while it is held, and shows what sounds.

package main

import (
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"lapstrake/engine"
	"lapstrake/engine/audible"
	"lapstrake/engine/mark"
	"lapstrake/engine/show"
	"lapstrake/mapping"
)

// holdOptions are what hold and sweep are told.
type holdOptions struct {
	player   playerOptions
	output   outputOptions
	length   time.Duration
	velocity int
	dynamics int // −1: the map's own
	sweep    bool
	mark     int // to be rendered again, instead of keys; 0 is none
	lead     time.Duration
	strum    time.Duration // from key to key
}

func holdCommand() command {
	return command{
		name: "hold", words: "DIR [KEY…]",
		summary: "hold a chord: hear it, and see when it comes back",
		about: `Holds the keys, given as numbers or names, apart or with commas. Prints every sounding
cycle with its length, start and zone, and when all cycles are back near where they
began. With -o it also renders the chord to a WAV file. With --mark instead of keys, it
renders a moment that was marked while playing, from 5 s before it, or --lead: the very
samples, while the beds are the same. It says what has changed since.`,
		example: `lapstrake hold boatyard C3 G3 E4 B4 --for 2m -o chord.wav --picture chord.png
  lapstrake hold boatyard --mark 3 -o again.wav`,
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &holdOptions{}
			flags.IntVar(&o.mark, "mark", 0,
				"render mark `N` again; what it held sounds on for --for, 5s if not given")
			flags.DurationVar(&o.lead, "lead", mark.LeadSec*time.Second,
				"with --mark: begin so long before it, 30s at most")
			flags.DurationVar(&o.strum, "strum", 0, "strike the keys so long after each other, such as 40ms")
			flags.DurationVar(&o.length, "for", 2*time.Minute, "how long the keys are held, such as 90s or 10m")
			flags.IntVar(&o.dynamics, "dynamics", -1,
				"value of the dynamics controller, 0 to 127; the map's own if not given")
			flags.Lookup("dynamics").DefValue = "0" // keeps −1, which nobody types, out of the help
			o.addFlags(flags)
			return func(s streams, args []string) error {
				if o.mark != 0 && !flags.Changed("for") {
					o.length = markHeld
				}
				return o.run(s, args)
			}
		},
	}
}

func sweepCommand() command {
	return command{
		name: "sweep", words: "DIR KEY…",
		summary: "hold a chord while the dynamics go up and down",
		about: `Holds the keys while the dynamics controller moves from 0 to 127 and back to 0.
Renders that to a WAV file.`,
		example: "lapstrake sweep boatyard C3 G3 E4 -o sweep.wav --picture sweep.png",
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &holdOptions{sweep: true}
			flags.DurationVar(&o.length, "for", 20*time.Second, "how long the whole sweep takes, up and down")
			o.addFlags(flags)
			return o.run
		},
	}
}

func (o *holdOptions) addFlags(flags *pflag.FlagSet) {
	flags.IntVar(&o.velocity, "velocity", 100, "velocity of the notes, 1 to 127")
	o.output.addFlags(flags)
	o.player.addFlags(flags)
}

func (o *holdOptions) validate(args []string) error {
	switch {
	case o.mark < 0:
		return wrongWords("--mark %d: expected the number of a mark, 1 or more", o.mark)
	case o.mark > 0 && len(args) != 1:
		return wrongWords("--mark takes one project and no keys; found %d arguments", len(args))
	case o.mark > 0 && (o.lead < 0 || o.lead > mark.KeptSec*time.Second):
		return wrongWords("--lead %v: expected 0 to %ds", o.lead, mark.KeptSec)
	case o.mark == 0 && (len(args) < 2 || len(splitWords(strings.Join(args[1:], ","))) == 0):
		return wrongWords("expected a project and at least one key, such as boatyard C3 E3 G3")
	case o.length <= 0 || o.length > show.HorizonSec*time.Second:
		return wrongWords("--for %v: expected more than 0 and at most 24h", o.length)
	case o.strum < 0 || time.Duration(len(splitWords(strings.Join(args[1:], ","))))*o.strum > o.length:
		return wrongWords("--strum %v: expected the last key to be struck within --for, %v", o.strum, o.length)
	case o.velocity < 1 || o.velocity > 127:
		return wrongWords("--velocity %d: expected 1 to 127", o.velocity)
	case o.dynamics > 127 || o.dynamics < -1:
		return wrongWords("--dynamics %d: expected 0 to 127", o.dynamics)
	}
	return o.output.validate(o.sweep)
}

func (o *holdOptions) run(s streams, args []string) error {
	if err := o.validate(args); err != nil {
		return err
	}
	sound, s, err := o.output.divide(s)
	if err != nil {
		return err
	}
	if o.mark > 0 {
		return o.playMark(s, sound, args[0])
	}
	player, err := o.player.openPlayer(args[0])
	if err != nil {
		return err
	}
	defer player.Close()
	noticeObjections(s, args[0])
	keys, err := parseKeys(s, player.Map().MiddleC, splitWords(strings.Join(args[1:], ",")))
	if err != nil {
		return err
	}
	chord := show.NewChord(player.Cycles(), keys)
	if len(chord.Cycles) == 0 {
		return wrongWords("none of these keys sounds a zone of the map")
	}
	returns := chord.FirstReturns()
	var result *soundFigures
	if o.output.path != "" {
		if result, err = o.render(s, sound, player, args[0], chord); err != nil {
			return err
		}
	}
	if o.output.json {
		return json.NewEncoder(s.out).Encode(struct {
			Cycles  []show.SoundingCycle `json:"cycles"`
			Returns []show.FirstReturn   `json:"returns"`
			Sound   *soundFigures        `json:"sound,omitempty"`
		}{chord.Cycles, returns, result})
	}
	if !o.sweep {
		printChord(s, player.Map().MiddleC, chord.Cycles, returns)
	}
	if result != nil {
		result.print(s)
	}
	return nil
}

func (o *holdOptions) render(
	s streams, sound io.Writer, player *engine.Engine, project string, chord *show.Chord,
) (*soundFigures, error) {
	m := player.Map()
	sources, err := sourcesOf(project, m)
	if err != nil {
		return nil, err
	}
	if err := o.output.guard(filepath.Dir(sources[0]), sources); err != nil {
		return nil, err
	}
	frames := int64(o.length.Seconds() * float64(m.RateHz))
	var meanwhile, moves []engine.Event
	if o.sweep {
		moves = show.SweepEvents(m.Dynamics.Controller, frames)
		meanwhile = moves
	} else if o.dynamics >= 0 {
		meanwhile = append(meanwhile, engine.Control(0, 0, byte(m.Dynamics.Controller), byte(o.dynamics)))
	}
	p := performance{
		Performance: show.Performance{
			Engine: player,
			Events: show.Strum(show.HoldEvents(chord.Keys, o.velocity, frames, meanwhile...),
				int64(o.strum.Seconds()*float64(m.RateHz))),
			TailSec: 2*m.ReleaseSec + 0.1,
		},
		sound: sound,
		title: o.title(m.MiddleC, chord.Keys),
		chord: chord,
		moves: moves,
	}
	if o.output.picture != "" {
		// Without a build's record, nobody knows whose sounds these are: the picture does without.
		p.who, _ = audible.Read(filepath.Dir(sources[0]), player.Cycles())
	}
	return p.render(s, &o.output)
}

// title names the chord and what is done with it.
func (o *holdOptions) title(naming mapping.Naming, keys []int) string {
	names := make([]string, len(keys))
	for i, key := range keys {
		names[i] = naming.Name(key)
	}
	chord, length := strings.Join(names, " "), minutes(o.length.Seconds())
	if o.length < time.Minute {
		length = fmt.Sprintf("%g s", o.length.Seconds())
	}
	if o.sweep {
		return fmt.Sprintf("%s, dynamics from 0 to 127 and back in %s", chord, length)
	}
	if o.strum > 0 {
		return fmt.Sprintf("%s, struck %v after each other, held for %s", chord, o.strum, length)
	}
	return fmt.Sprintf("%s, held for %s", chord, length)
}
