package export

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"testing"

	"lapstrake/mapping"
)

// dynamics.csv has the map's gains at all 128 values, and the bank's curve as the standard reads it, by every law;
// where there is no bank, it has no columns.
func TestDynamicsTable(t *testing.T) {
	for _, law := range mapping.Laws {
		j := yard(t, func(j *Job) { j.Map.Dynamics.Law, j.Map.Dynamics.RangeLU = law, 9 })
		text, err := j.dynamics()
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
		if err != nil || len(rows) != 129 {
			t.Fatalf("%d rows, %v", len(rows), err)
		}
		if want := "[value soft_gain soft_db loud_gain loud_db bank_soft_db bank_loud_db]"; fmt.Sprint(
			rows[0]) != want {
			t.Errorf("columns %v, want %s", rows[0], want)
		}
		gains := make([]float64, 2)
		for value, row := range rows[1:] {
			number := func(column int) float64 {
				x, err := strconv.ParseFloat(row[column], 64)
				if err != nil {
					t.Fatal(err)
				}
				return x
			}
			j.Map.LayerGains(float64(value)/127, gains)
			for layer, gain := range gains {
				if math.Abs(number(1+2*layer)-gain) > 1e-9 {
					t.Errorf("%s, value %d: gain %s, want %v", law, value, row[1+2*layer], gain)
				}
				if gain < 1e-6 != (row[2+2*layer] == "") || gain >= 1e-6 &&
					math.Abs(number(2+2*layer)-20*math.Log10(gain)) > 0.0011 {
					t.Errorf("%s, value %d: level %q, want %.3f", law, value, row[2+2*layer], 20*math.Log10(gain))
				}
			}
			soft, loud := gainDB(fadeOut(j.Map.Dynamics), value), gainDB(fadeIn(j.Map.Dynamics), value)
			if math.Abs(number(5)-soft) > 0.001 || math.Abs(number(6)-loud) > 0.001 {
				t.Errorf("%s, value %d: the bank has %s and %s, want %.3f and %.3f", law, value, row[5],
					row[6], soft, loud)
			}
		}
		j.Parts = Parts{WAV}
		if text, _ := j.dynamics(); bytes.Contains(text, []byte("bank")) {
			t.Errorf("%s: a bank's curve without a bank", law)
		}
	}
}
