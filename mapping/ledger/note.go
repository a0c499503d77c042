// A key as a map plays it, ready for listening.

package ledger

import (
	"math"

	"lapstrake/mapping"
	"lapstrake/mapping/hearing"
)

// Dynamics are the values of the controller at which notes are listened to.
var Dynamics = [...]int{0, 64, 127}

// Bed is what is known of a bed.
type Bed struct {
	Sec     float64           // that the map uses of it
	Courses []*hearing.Course // of its takes
	// Contributors are those of the takes, in their order; nil where nobody knows the takes: the bed then has one
	// course, lies over others, and is not judged itself.
	Contributors []string
}

// Instrument is a map and its beds, by the paths that the map has for them. It may be read from several goroutines.
type Instrument struct {
	Map  *mapping.Map
	Beds map[string]Bed
}

// Note is a key as it is played.
type Note struct {
	*hearing.Note
	Key    int
	Beds   []string  // of each take of the note, its path
	layers []int     // of each cycle
	shares []float64 // gain of each cycle's zone at the key
	m      *mapping.Map
}

// Note makes a key ready for listening.
func (in *Instrument) Note(key int) *Note {
	n := &Note{Key: key, m: in.Map}
	var cycles []hearing.Cycle
	for _, i := range in.Map.ZonesAt(key) {
		zone := &in.Map.Zones[i]
		for layer, name := range in.Map.Layers {
			c := hearing.Cycle{
				OverlapSec: in.Map.OverlapSec, StartTurns: in.Map.Start(zone, key, 0),
				Ratio: math.Exp2(in.Map.ShiftSemitones(zone, key) / 12),
			}
			for _, path := range zone.Beds[name] {
				bed := in.Beds[path]
				c.Beds = append(c.Beds, hearing.Bed{Sec: bed.Sec, Takes: bed.Courses})
				for range bed.Courses {
					n.Beds = append(n.Beds, path)
				}
			}
			cycles, n.layers = append(cycles, c), append(n.layers, layer)
			n.shares = append(n.shares, in.Map.ZoneGain(zone, key))
		}
	}
	n.Note = hearing.NewNote(cycles)
	return n
}

// Powers are those of the note's cycles at a value of the controller; 0: the layer is silent there.
func (n *Note) Powers(dynamics int) []float64 {
	gains := make([]float64, len(n.m.Layers))
	n.m.LayerGains(float64(dynamics)/127, gains)
	powers := make([]float64, len(n.layers))
	for i, layer := range n.layers {
		gain := gains[layer] * n.shares[i]
		powers[i] = gain * gain
	}
	return powers
}

// listenTurns is how many of its longest turns a note is listened to: in two, cycles whose turns differ by the square
// root of 2 have met in most ways.
const listenTurns = 2

// Sec is for how long the note is listened to.
func (n *Note) Sec() float64 { return listenTurns * n.LongestTurnSec() }
