//go:build !cgo || !unix

// Where JACK cannot be reached: nothing opens, and so nothing else is ever called.

package jack

// MIDI is never there.
type MIDI struct{}

// OpenMIDI is nil.
func OpenMIDI() *MIDI { return nil }

func (*MIDI) Alive() bool                                { return false }
func (*MIDI) Senders() []Sender                          { return nil }
func (*MIDI) Add(name, sender string) int                { return -1 }
func (*MIDI) Remove(input int)                           {}
func (*MIDI) Receive([]Message, *[MIDIInputs]uint32) int { return 0 }
func (*MIDI) Micros() uint64                             { return 0 }
func (*MIDI) Close()                                     {}

// Output is never there.
type Output struct{}

// OpenOutput is nil.
func OpenOutput() *Output { return nil }

func (*Output) RateHz() int                    { return 0 }
func (*Output) PeriodFrames() int              { return 0 }
func (*Output) Inputs() []string               { return nil }
func (*Output) LatencyFrames(input string) int { return 0 }
func (*Output) Counts() (calls, gaps int64)    { return 0, 0 }
func (*Output) Heard() bool                    { return false }
func (*Output) Close()                         {}

func (*Output) Start(left, right string, blockFrames, ringBlocks int, render func(out []float32),
	ready func(frames int) bool) error {
	return nil
}
