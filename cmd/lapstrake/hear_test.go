package main

import (
	"math"
	"path/filepath"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/decode"
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

// A take told apart in its bed and the rest of it are the bed's file, sample by sample; what is listened to matched is
// as loud as the bed within 0.2 LU (ITU-R BS.1770-5), unless it would have to be raised by more than 18 dB.
func TestATakeIsToldApart(t *testing.T) {
	yard, err := smallYard()
	if err != nil {
		t.Fatal(err)
	}
	m, err := mapping.Load(filepath.Join(yard, mapping.FileName))
	if err != nil {
		t.Fatal(err)
	}
	stems, err := beds.ReadStems(yard, m.BedPaths()[:1])
	if err != nil {
		t.Fatal(err)
	}
	whole, err := decode.File(filepath.Join(yard, filepath.FromSlash(stems[0].Bed)))
	if err != nil {
		t.Fatal(err)
	}
	for _, in := range stems[0].Takes {
		take := takes.TakeName(in.Path, in.Stretch)
		apart, err := beds.TellApart(yard, take, stems[0].Bed)
		if err != nil {
			t.Fatal(err)
		}
		both, _ := apart.Mix(1, 1, false)
		for i, left := range whole.Channels[0] {
			if math.Abs(float64(both[2*i]-left)) > 1e-6 {
				t.Fatalf("%s and the rest give %v at frame %d, the bed has %v", take, both[2*i], i, left)
			}
		}
		for _, gains := range [][2]float64{{1, 0}, {1, 0.126}, {0, 1}} {
			mix, gainDB := apart.Mix(gains[0], gains[1], true)
			meter := sound.NewMeter(apart.Take.RateHz, sound.StereoWeights)
			left, right := make([]float32, len(mix)/2), make([]float32, len(mix)/2)
			for i := range left {
				left[i], right[i] = mix[2*i], mix[2*i+1]
			}
			meter.Add(left, right)
			if off := meter.IntegratedLUFS() - apart.BedLUFS; math.Abs(off) > 0.2 && gainDB < 18 {
				t.Errorf("%s at %v: %.2f LU from its bed, moved by %.1f dB", take, gains, off, gainDB)
			}
		}
	}
	if _, err := beds.TellApart(yard, stems[0].Takes[0].Path, "beds/none.wav"); err == nil {
		t.Error("a bed that is not there was told apart")
	}
}
