// How a bank's regions sound: side, envelope, velocity, and the fade between layers.

package export

import (
	"lapstrake/mapping"
	"lapstrake/mapping/export/dls"
)

// articulation is what every region has. A region's own connections replace all others, so that each has all of them;
// volume, expression, pan and the pitch wheel are implied by the standard and not written.
func (j *Job) articulation(side dls.Channel) []dls.Connection {
	const hardLeft, hardRight = -50, 50
	pan := dls.Percent(hardLeft)
	if side == dls.Right {
		pan = dls.Percent(hardRight)
	}
	const playerReleaseDB = 60 // in the map's release time
	connections := []dls.Connection{
		{Source: dls.None, Destination: dls.Pan, Scale: pan},
		{Source: dls.None, Destination: dls.EG1Attack, Scale: dls.Seconds(j.Map.AttackSec)},
		{Source: dls.None, Destination: dls.EG1Release, Scale: dls.Seconds(j.Map.ReleaseSec * dls.FullDecibels / playerReleaseDB)},
	}
	if j.Map.VelocityAmount != 1 { // the standard's own curve is 40 log10(velocity/127) dB, the map's a part of it
		connections = append(connections, dls.Connection{Source: dls.Velocity, Destination: dls.Gain,
			Transform: dls.InvertSource | dls.ConcaveSource, Scale: dls.Decibels(-dls.FullDecibels * j.Map.VelocityAmount)})
	}
	// Controller 1 and pressure would bring a vibrato that the player has not.
	for _, wobble := range []dls.Source{dls.LFO, dls.Vibrato} {
		for _, by := range []dls.Source{dls.Modulation, dls.ChannelPressure} {
			connections = append(connections, dls.Connection{Source: wobble, Control: by, Destination: dls.Pitch, Transform: dls.BipolarSource})
		}
	}
	return connections
}

// The fade between two layers on controller 1, as the standard's table of routings does not foresee it but readers do
// it: x is the controller's part of its way. All readers heed the straight transform alone, and each pair of
// source and control may stand once, so that a layer's gain is a·x + b·x² dB; the standard has gain end at 0 dB.
// Both laws end at −48 dB; in the middle the one of equal power has −3 dB and the one of equal gain −6 dB.
func fadeScales(law mapping.Law) (a, b float64) {
	if law == mapping.EqualGain {
		return 24, -72
	}
	return 36, -84
}

// fadeOut is the layer that sounds alone at 0, fadeIn the one that sounds alone at 127.
func fadeOut(law mapping.Law) []dls.Connection {
	return fade(law, dls.Straight, dls.Straight)
}

func fadeIn(law mapping.Law) []dls.Connection {
	return fade(law, dls.InvertSource, dls.InvertControl)
}

func fade(law mapping.Law, source, control dls.Transform) []dls.Connection {
	a, b := fadeScales(law)
	return []dls.Connection{
		{Source: dls.Modulation, Destination: dls.Gain, Transform: source, Scale: dls.Decibels(a)},
		{Source: dls.Modulation, Control: dls.Modulation, Destination: dls.Gain, Transform: source | control, Scale: dls.Decibels(b)},
	}
}
