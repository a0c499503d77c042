// A note's own place between the layers, where pressure or its own channel moves it.

package engine

import "lapstrake/mapping"

// dynamicsOf is where a note is to stand between the layers, 0 to 1.
func (e *Engine) dynamicsOf(n *note) float64 {
	c := &e.channels[n.channel]
	place := e.control.dynamics.target
	if c.member && c.dynamics != unmoved {
		place = dynamicsValue(c.dynamics, 0)
	}
	pressure := float64(max(n.pressure, c.pressure)) / 127
	switch n.on.cycles.Map.Dynamics.By {
	case mapping.MovedByPressure:
		return pressure
	case mapping.MovedByBoth:
		return place + (1-place)*pressure
	}
	return place
}

// ownPlaces says whether notes may stand at places of their own now.
func (e *Engine) ownPlaces() bool {
	if e.zones != (zones{}) {
		return true
	}
	for _, in := range e.playing {
		if in.cycles.Map.Dynamics.By != mapping.MovedByController {
			return true
		}
	}
	return false
}

// moveOwn moves a note to its place and gives the gains of the layers at both ends of a stretch.
func (e *Engine) moveOwn(n *note, frames int) (gains0, gains1 []float64) {
	m := n.on.cycles.Map
	gains0, gains1 = e.own0[:len(m.Layers)], e.own1[:len(m.Layers)]
	m.LayerGains(n.place.value, gains0)
	n.place.target = e.dynamicsOf(n)
	n.place.advance(&e.control.dynamics.keep, frames)
	m.LayerGains(n.place.value, gains1)
	return gains0, gains1
}
