// The option --channel: which MIDI channels are played, and how.

package main

import (
	"fmt"
	"strconv"

	"github.com/spf13/pflag"

	"lapstrake/engine"
)

// channelChoice is one channel, all as one, or each by itself.
type channelChoice struct {
	number int // 1 to 16; 0: all
	each   bool
}

const eachChannel = "each"

func (c *channelChoice) addFlag(flags *pflag.FlagSet) {
	flags.Var(c, "channel", "MIDI `CHANNEL` to play, 1 to 16; 0 plays all as one; each: keys, pedals and coarse "+
		"tuning of every channel by themselves")
}

// String is the choice as it is written.
func (c *channelChoice) String() string {
	if c.each {
		return eachChannel
	}
	return strconv.Itoa(c.number)
}

// Set reads the choice.
func (c *channelChoice) Set(word string) error {
	if word == eachChannel {
		*c = channelChoice{each: true}
		return nil
	}
	number, err := strconv.Atoi(word)
	if err != nil || number < 0 || number > 16 {
		return fmt.Errorf("expected 1 to 16, 0 for all, or %s", eachChannel)
	}
	*c = channelChoice{number: number}
	return nil
}

// Type is what help calls the value.
func (c *channelChoice) Type() string { return "CHANNEL" }

// choose tells a player.
func (c *channelChoice) choose(s *engine.Settings) { s.Channel, s.Apart = c.number, c.each }
