// The bank's section of HOWTO.txt.

package export

import (
	_ "embed"
	"maps"
	"math"
	"slices"
	"strings"

	"lapstrake/mapping"
)

//go:embed howtobank.txt
var howToBankText string

var howToBankTemplate = newTemplate("the bank's section of "+howToFile, howToBankText)

// bankSection tells how the bank of the job's variant is played.
func (j *Job) bankSection(items []Item, shared map[string]any) (string, error) {
	m := j.Map
	values := maps.Clone(shared)
	maps.Copy(values, map[string]any{
		"Programs": j.programs(items), "BankGaveUp": j.Variant.GaveUp, "BankOrder": j.Variant.Order,
		"BankGainDB": decimal(math.Round(100*j.bankGainDB())/100 + 0), "Loudest": decimal(j.loudestDB()),
		"Overshoot": decimal(overshootDB(m.Dynamics)), "Expression": expressionTable(m), "Between": len(m.Layers) > 2,
		"PerKeyBank":   2 * min(len(m.Layers), 2) * m.MostZones(), // two sides of the layers of program 0
		"MiddleSofter": decimal(middleSofterDB(m.Dynamics)),
		"OwnVolume":    !slices.Equal(m.Volume.Controllers, []int{7, 11}),
		"BendWhole":    int(m.BendSemitones),
		"BendCents":    int(math.Round(100 * (m.BendSemitones - math.Floor(m.BendSemitones)))),
	})
	var out strings.Builder
	err := howToBankTemplate.Execute(&out, values)
	return out.String(), err
}

// expressions are the values of controller 11 that fade the layers as the map does, each layer on a channel of its
// own.
type expressions struct {
	Values []int // of the dynamics
	Rows   []expressionRow
}

// expressionRow is the values for the channel of one program.
type expressionRow struct {
	Program int
	Values  []int
}

// expressionTable gives the value of controller 11 for each gain: its level is 40 log10(value/127) dB, and 127 the
// highest there is.
func expressionTable(m *mapping.Map) expressions {
	e := expressions{Values: []int{0, 16, 32, 48, 64, 80, 96, 112, 127}, Rows: make([]expressionRow, len(m.Layers))}
	gains := make([]float64, len(m.Layers))
	for _, value := range e.Values {
		m.LayerGains(float64(value)/127, gains)
		for i, gain := range gains {
			e.Rows[i].Program = 2 + i
			e.Rows[i].Values = append(e.Rows[i].Values, min(int(math.Round(127*math.Sqrt(gain))), 127))
		}
	}
	return e
}

// middleSofterDB is how much softer the bank has the first layer half-way to the last than the map.
func middleSofterDB(d mapping.Dynamics) float64 { return max(middleDB(d, false)-equalPowerDB, 0) }

// overshootDB is how far a fade of the bank rises above 0 dB where a reader does not stop it: a·x + b·x² at its
// highest.
func overshootDB(d mapping.Dynamics) float64 {
	a, b := fadeScales(middleDB(d, false))
	return math.Round(-10*a*a/(4*b)) / 10
}
