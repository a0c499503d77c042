// dynamics.csv: what the fade between the layers is at each value of its controller, by the map and in the bank.

package export

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"

	"lapstrake/mapping/export/dls"
	"lapstrake/mapping/sound"
)

// dynamics gives a row for each value of the controller: the gain and the level of each layer by the map and, where
// there is a bank, the level at which its program 0 has the layer, by the standard, on keys where no rank is lowered.
func (j *Job) dynamics() ([]byte, error) {
	m := j.Map
	titles := []string{"value"}
	for _, layer := range m.Layers {
		titles = append(titles, layer+"_gain", layer+"_db")
	}
	bank := map[int][]dls.Connection{}
	if j.Parts.Has(Bank) {
		last := len(m.Layers) - 1
		bank[0], bank[last] = fadeOut(m.Dynamics), fadeIn(m.Dynamics)
		titles = append(titles, "bank_"+m.Layers[0]+"_db", "bank_"+m.Layers[last]+"_db")
	}
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.Write(titles)
	gains := make([]float64, len(m.Layers))
	for value := range 128 {
		m.LayerGains(float64(value)/127, gains)
		row := []string{strconv.Itoa(value)}
		for _, gain := range gains {
			level := "" // silent
			if gain > 1e-6 {
				level = strconv.FormatFloat(math.Round(1000*sound.AmplitudeDB(gain))/1000+0, 'f', -1, 64)
			}
			row = append(row, strconv.FormatFloat(gain, 'f', 9, 64), level)
		}
		for layer := range m.Layers {
			if fade := bank[layer]; fade != nil {
				row = append(row, strconv.FormatFloat(fadeDB(fade, value), 'f', 3, 64))
			}
		}
		w.Write(row)
	}
	w.Flush()
	return out.Bytes(), w.Error()
}

// fadeDB is what a fade of the bank makes of a value of controller 1, where the reader stops gains at 0 dB as the
// standard has it: the standard takes a controller as value/128, or as 1 less that where it is inverted.
func fadeDB(fade []dls.Connection, value int) float64 {
	x := float64(value) / 128
	sum := 0.0
	for _, c := range fade {
		part := x
		if c.Transform&dls.InvertSource != 0 {
			part = 1 - x
		}
		if c.Control == dls.Modulation {
			part *= part // source and control go the same way
		}
		sum += float64(c.Scale) / float64(dls.Decibels(1)) * part
	}
	return min(sum, 0) + 0
}
