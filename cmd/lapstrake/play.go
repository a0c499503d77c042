// The command play, and its options.

package main

import (
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"lapstrake/engine/live/output"
	"lapstrake/mapping"
)

// playOptions play the map in real time.
type playOptions struct {
	player    playerOptions
	output    output.Settings
	latencyMS float64
	ports     []string
	raw       string
	record    string
	chord     []string
	latch     bool
	follow    bool
	length    time.Duration
	rebuild   bool
	page      string
	pageOpen  bool
	noOpen    bool
	against   string
	blind     bool
	json      bool
}

func playCommand() command {
	return command{
		name: "play", words: "DIR",
		summary: "play the map from a MIDI keyboard",
		about: `Plays the map in real time: keys from every MIDI keyboard, sound from the default
output. ` + "`lapstrake devices`" + ` lists both, with the names that --device and --midi
take. When map.toml changes, the next note plays the new map.

While it plays, keys of the terminal work too, which ? lists: the arrows move dynamics and
volume, Enter strikes again what is held, l holds the last chord, digits let layers, strands,
ranks or zones sound alone, z and the brackets nudge a zone, e exchanges the map for that of
--against, u undoes a reload, m marks this moment, q or Ctrl-C ends. MIDI can be bound to
all of it: see [keys] in lapstrake.toml.

The output begins 20 dB down and rises in three seconds. Begin with the volume low
all the same, on headphones above all, and follow your workplace's rules on sound levels.`,
		example: `lapstrake play boatyard --midi piano --device headphones --record evening.wav
  lapstrake play boatyard --chord C3,G3,E4,B4 --for 2m`,
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &playOptions{}
			o.addFlags(flags)
			return o.run
		},
	}
}

func (o *playOptions) addFlags(flags *pflag.FlagSet) {
	flags.StringVar(&o.output.Device, "device", "", "output by its `NAME`, a part of it, or its number; the default "+
		"one if not given")
	flags.StringArrayVar(&o.ports, "midi", nil, "play only MIDI inputs with `PART` in their name; may be repeated; "+
		"all if not given")
	flags.StringVar(&o.raw, "midi-raw", "", "read MIDI bytes from `PATH` too, a device node or a named pipe")
	o.player.channel.addFlag(flags)
	flags.StringVar(&o.record, "record", "", "record to a 24-bit `OUT.wav`, and beside it the performance as OUT.mid")
	flags.StringSliceVar(&o.chord, "chord", nil, "begin with these `KEYS` held, such as C3,G3,E4")
	flags.BoolVar(&o.latch, "latch", false, "begin with the latch on: the last chord sounds on without hands")
	flags.BoolVar(&o.follow, "follow", false, "when the map is reloaded, held notes move on to it by a crossfade; "+
		"always so for a latched chord")
	flags.BoolVar(&o.rebuild, "rebuild", false, "build the beds anew whenever takes, take sheet or settings change")
	flags.StringVar(&o.page, "page", "", "serve a page to watch and play on, at any free port of this machine or at "+
		"`HOST:PORT`, and print its address")
	flags.Lookup("page").NoOptDefVal = anyLoopback
	flags.BoolVar(&o.pageOpen, "page-open", false, "let --page=HOST:PORT be reached from other machines")
	flags.BoolVar(&o.noOpen, "no-open", false, "print the page's address, but do not open it in a browser")
	flags.StringVar(&o.against, "against", "", "a second project or map, to be exchanged with the first while notes "+
		"sound: `OTHER`, as loud as it")
	flags.BoolVar(&o.blind, "blind", false, "with --against: do not tell which of the two plays, until the end or "+
		"the key b")
	flags.DurationVar(&o.length, "for", 0, "end after so long, such as 30s; without it, when told to")
	flags.IntVar(&o.output.BlockFrames, "block", 256, "`frames` rendered at a time")
	flags.Float64Var(&o.latencyMS, "latency", 0, "`ms` from rendering to sound; 0 takes the output's lowest, or "+
		"with --safe its safe one")
	flags.BoolVar(&o.output.Safe, "safe", false, "render ahead: later to sound, but steady on a busy machine")
	flags.BoolVar(&o.json, "json", false, "print a report as JSON when it ends")
	o.player.addFlags(flags)
}

const mostLatencyMS = 2000

func (o *playOptions) validate(args []string) error {
	switch {
	case len(args) != 1:
		return wrongWords("play takes one project; found %d arguments", len(args))
	case o.length < 0:
		return wrongWords("--for %v: expected more than 0", o.length)
	case o.output.BlockFrames < 16 || o.output.BlockFrames > 8192:
		return wrongWords("--block %d: expected 16 to 8192 frames", o.output.BlockFrames)
	case !(o.latencyMS >= 0 && o.latencyMS <= mostLatencyMS):
		return wrongWords("--latency %v: expected 0 to %d ms", o.latencyMS, mostLatencyMS)
	case o.blind && o.against == "":
		return wrongWords("--blind hides which of two maps plays: give the second one with --against")
	case o.record != "" && !strings.EqualFold(filepath.Ext(o.record), ".wav"):
		return wrongWords("--record %s: expected a name that ends in .wav; the performance goes beside it as .mid",
			o.record)
	}
	o.output.Latency = time.Duration(o.latencyMS * float64(time.Millisecond))
	if _, err := o.pageAddress(); err != nil {
		return err
	}
	_, err := o.player.settings()
	return err
}

func (o *playOptions) run(s streams, args []string) error {
	if err := o.validate(args); err != nil {
		return err
	}
	path, err := mapping.Locate(args[0])
	if err != nil {
		return err
	}
	against := ""
	if o.against != "" {
		if against, err = mapping.Locate(o.against); err != nil {
			return err
		}
		if against == path {
			return wrongWords("--against %s: expected another project or map than the first", o.against)
		}
	}
	noticeObjections(s, path)
	s, restore, err := quietly(s)
	if err != nil {
		return err
	}
	defer restore()
	return o.play(s, path, against)
}

// play opens everything, plays, and closes it again.
func (o *playOptions) play(s streams, path, against string) error {
	line := newStatusLine(s.notices)
	s.notices = line
	p := &playing{options: o, path: path, against: against, streams: s, line: line}
	defer p.close()
	keys, err := openTerminal(os.Stdin) // first: what is typed meanwhile is not to stand among the notices
	if err != nil {
		return err
	}
	defer keys.Close()
	if err := p.open(); err != nil {
		return err
	}
	p.loop(keys)
	keys.Close()
	return p.end()
}
