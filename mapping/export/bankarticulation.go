// How a bank's regions sound: side, envelope, velocity, and the fade between layers.

package export

import (
	"math"

	"lapstrake/mapping"
	"lapstrake/mapping/export/dls"
	"lapstrake/mapping/sound"
)

// articulation gives the connections that every region has. A region's own connections replace all others, so each
// region gets all of them. The standard implies volume, expression, pan and the pitch wheel: they are not written.
func (j *Job) articulation(side dls.Channel) []dls.Connection {
	const hardLeft, hardRight = -50, 50
	pan := dls.Percent(hardLeft)
	if side == dls.Right {
		pan = dls.Percent(hardRight)
	}
	const playerReleaseDB = 60 // by which the player's notes fall in the map's release time
	connections := []dls.Connection{
		{Source: dls.None, Destination: dls.Pan, Scale: pan},
		{Source: dls.None, Destination: dls.EG1Attack, Scale: dls.Seconds(j.Map.AttackSec)},
		{Source: dls.None, Destination: dls.EG1Release,
			Scale: dls.Seconds(j.Map.ReleaseSec * dls.FullDecibels / playerReleaseDB)},
	}
	if j.Map.VelocityAmount != 1 { // at 1 the map's curve is the standard's own, 40 log10(velocity/127) dB
		connections = append(connections, dls.Connection{Source: dls.Velocity, Destination: dls.Gain,
			Transform: dls.InvertSource | dls.ConcaveSource,
			Scale:     dls.Decibels(-dls.FullDecibels * j.Map.VelocityAmount)})
	}
	// The standard has controller 1 and pressure add vibrato; the player adds none.
	for _, wobble := range []dls.Source{dls.LFO, dls.Vibrato} {
		for _, by := range []dls.Source{dls.Modulation, dls.ChannelPressure} {
			connections = append(connections,
				dls.Connection{Source: wobble, Control: by, Destination: dls.Pitch, Transform: dls.BipolarSource})
		}
	}
	return connections
}

// bankGainDB is the level of the bank's samples: that of the loudest key, since the standard lets regions only be
// softer than their samples. No sample may clip for it.
func (j *Job) bankGainDB() float64 { return min(j.loudestDB()-j.Map.HeadroomDB, 0) }

// fixedGain lowers a region for good. The standard's own place for that is the gain of the region's wave, which not
// all readers heed; they do follow a connection from no source, which its table of routings lacks.
func fixedGain(gainDB float64) []dls.Connection {
	if gainDB == 0 {
		return nil
	}
	return []dls.Connection{{Source: dls.None, Destination: dls.Gain, Scale: dls.Decibels(gainDB)}}
}

// fixedTune tunes a region otherwise than to equal semitones, by the standard's own routing for that.
func fixedTune(cents float64) []dls.Connection {
	if cents == 0 {
		return nil
	}
	return []dls.Connection{{Source: dls.None, Destination: dls.Pitch, Scale: dls.Cents(cents)}}
}

// fadeScales gives a and b of a fade between two layers on controller 1. The layer's gain is a·x + b·x² dB, where x
// goes from 0 to 1 with the controller; the standard keeps gains from rising above 0 dB. The standard's table of
// routings lacks controller 1 on gain, but readers follow it. They all follow the straight transform only, and a pair
// of source and control may stand once, which leaves these two terms: the fade is right in the middle, where the
// layer stands at middleDB, and ends at −48 dB.
func fadeScales(middleDB float64) (a, b float64) {
	const endDB = -48
	a = 4*min(middleDB, equalPowerDB) - endDB
	return a, endDB - a
}

// equalPowerDB is where equal power has both layers in the middle. A fade that is higher there, as even loudness has
// it for the quieter layer, would rise far above 0 dB before.
const equalPowerDB = -3

// middleDB is where the first or the last layer stands half-way between the two, in dB.
func middleDB(d mapping.Dynamics, last bool) float64 {
	m := mapping.Map{Dynamics: d}
	gains := make([]float64, 2)
	m.LayerGains(0.5, gains)
	if last {
		return math.Round(sound.AmplitudeDB(gains[1]))
	}
	return math.Round(sound.AmplitudeDB(gains[0]))
}

// fadeOut is for the layer that sounds alone at 0, fadeIn for the layer that sounds alone at 127.
func fadeOut(d mapping.Dynamics) []dls.Connection {
	return fade(middleDB(d, false), dls.Straight, dls.Straight)
}

func fadeIn(d mapping.Dynamics) []dls.Connection {
	return fade(middleDB(d, true), dls.InvertSource, dls.InvertControl)
}

func fade(middleDB float64, source, control dls.Transform) []dls.Connection {
	a, b := fadeScales(middleDB)
	return []dls.Connection{
		{Source: dls.Modulation, Destination: dls.Gain, Transform: source, Scale: dls.Decibels(a)},
		{Source: dls.Modulation, Control: dls.Modulation, Destination: dls.Gain, Transform: source | control,
			Scale: dls.Decibels(b)},
	}
}
