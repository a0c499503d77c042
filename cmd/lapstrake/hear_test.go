package main

import (
	"math"
	"path/filepath"
	"testing"

	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes"
)

// All versions of a take are as loud as each other within 0.2 LU (ITU-R BS.1770-5), and none passes −1 dBTP.
func TestVersionsOfATakeAreEquallyLoud(t *testing.T) {
	yard, err := smallYard()
	if err != nil {
		t.Fatal(err)
	}
	settings := project.Default()
	sheet, err := takes.ReadSheet(filepath.Join(yard, project.SheetFile), takes.OptionsOf(&settings))
	if err != nil {
		t.Fatal(err)
	}
	heard := 0
	for i := range sheet.Rows {
		take := sheet.Rows[i].Name()
		names, err := beds.BedsOf(yard, take)
		if err != nil {
			t.Fatal(err)
		}
		if len(names) == 0 {
			continue
		}
		versions, err := beds.Hear(yard, take, names[len(names)-1], beds.Versions)
		if err != nil {
			t.Fatal(err)
		}
		var lufs []float64
		for _, v := range versions {
			meter := sound.NewMeter(v.RateHz, sound.StereoWeights)
			meter.Add(v.Left, v.Right)
			lufs = append(lufs, meter.IntegratedLUFS())
			for _, side := range [][]float32{v.Left, v.Right} {
				if peak := sound.AmplitudeDB(sound.TruePeak(side)); peak > -0.9 {
					t.Errorf("%s, %s: true peak %.2f dBTP", take, v.Version, peak)
				}
			}
		}
		for k := range lufs {
			if !math.IsInf(lufs[0], 0) && math.Abs(lufs[k]-lufs[0]) > 0.2 {
				t.Errorf("%s, %s: %.2f LUFS, as received %.2f", take, versions[k].Version, lufs[k], lufs[0])
			}
		}
		heard++
	}
	if heard < 5 {
		t.Errorf("%d takes are heard", heard)
	}
}
