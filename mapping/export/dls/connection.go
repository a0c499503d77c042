// Connection: what moves gain, pitch, pan and envelope of a region.

package dls

import "math"

// Connection adds Scale times the transformed source, times the transformed control, to a destination (Level 2.2,
// art2).
type Connection struct {
	Source, Control Source
	Destination     Destination
	Transform       Transform
	Scale           int32 // see Decibels, Percent, Seconds
}

// Source drives a connection.
type Source uint16

// The sources in use here.
const (
	None            Source = 0x0000
	LFO             Source = 0x0001
	Velocity        Source = 0x0002
	ChannelPressure Source = 0x0008
	Vibrato         Source = 0x0009
	Modulation      Source = 0x0081 // controller 1
)

// Destination is what a connection moves.
type Destination uint16

// The destinations in use here.
const (
	Gain       Destination = 0x0001
	Pitch      Destination = 0x0003
	Pan        Destination = 0x0004
	EG1Attack  Destination = 0x0206
	EG1Release Destination = 0x0209
)

// Transform shapes source and control. A plain one runs straight from 0 to 1.
type Transform uint16

// The parts of a transform, to be joined by |.
const (
	Straight      Transform = 0
	ConcaveSource Transform = 1 << 10
	BipolarSource Transform = 1 << 14
	InvertSource  Transform = 1 << 15
	InvertControl Transform = 1 << 9
)

// Decibels is a scale of the gain: 1/655360 dB, so that −96 dB is −62914560.
func Decibels(dB float64) int32 { return int32(math.Round(dB * 655360)) }

// Cents is a scale of the pitch: cents in 16.16.
func Cents(cents float64) int32 { return int32(math.Round(cents * 65536)) }

// Percent is a scale of the pan: 0.1 % in 16.16, −50 % hard left and 50 % hard right.
func Percent(percent float64) int32 { return int32(math.Round(percent * 10 * 65536)) }

// Seconds is a scale of a time, absolute time cents in 16.16: 1200·log2(sec)·65536; nothing is the standard's own
// value for no time at all.
func Seconds(sec float64) int32 {
	if !(sec > 0) {
		return math.MinInt32
	}
	return int32(math.Round(1200 * math.Log2(sec) * 65536))
}

// FullDecibels is how far the release of EG1 falls in its time (Level 2.2, envelope generators).
const FullDecibels = 96.0
