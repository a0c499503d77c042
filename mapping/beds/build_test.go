// From recordings to beds: what comes out is what the settings ask for.

package beds

import (
	"encoding/csv"
	"math"
	"strings"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
)

// The map plays the beds, each of which is named and shaped as it says; every take is in heard.csv; no take is
// touched.
func TestBuildMakesWhatTheMapPlays(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	before := p.state(project.TakesFolder)
	report := p.build()
	if p.state(project.TakesFolder) != before {
		t.Error("takes were changed")
	}
	settings := p.settings()
	slots := settings.Slots()
	if len(slots) != 8 || len(report.Built) != 8 || report.Kept != 0 || len(report.LeftOut) != 0 ||
		len(report.Rows) != len(aFew) {
		t.Errorf("%d beds wanted, %d built, %d kept, left out %v of %d takes", len(slots), len(report.Built),
			report.Kept, report.LeftOut, len(report.Rows))
	}
	m, err := mapping.Load(report.MapPath)
	if err != nil {
		t.Fatal(err)
	}
	played := map[string]bool{}
	for _, zone := range m.Zones {
		for layer, list := range zone.Beds {
			for i, path := range list {
				want := project.BedsFolder + "/" + mapping.BedName{Layer: layer, Strand: m.Strands[i],
					Root: zone.Root}.String()
				if path != want {
					t.Errorf("root %d, layer %s: bed %s, want %s", zone.Root, layer, path, want)
				}
				played[path] = true
			}
		}
	}
	for _, slot := range slots {
		if !played[project.BedsFolder+"/"+slot.String()] {
			t.Errorf("%s is not in the map", slot)
		}
		left, _, rateHz := p.bed(slot)
		if len(left) != settings.BedFrames() || rateHz != settings.Project.RateHz {
			t.Errorf("%s: %d frames at %d Hz", slot, len(left), rateHz)
		}
	}
	if names := p.leftovers(); len(names) > 0 {
		t.Errorf("left over: %v", names)
	}
	checkHeardFile(t, p, report)
}

func checkHeardFile(t *testing.T, p yard, report *BuildReport) {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(string(p.read(project.HeardFile)))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	seats := 0
	for _, bed := range report.Assignment.Beds {
		seats += len(bed)
	}
	if len(rows) != seats+1 {
		t.Errorf("%d rows in %s, want one for each of %d places", len(rows)-1, project.HeardFile, seats)
	}
	for _, file := range aFew {
		if len(bedsWith(report, file)) == 0 {
			t.Errorf("%s is in no bed", file)
		}
		if !strings.Contains(string(p.read(project.HeardFile)), "\n"+file+",") {
			t.Errorf("%s is not in %s", file, project.HeardFile)
		}
	}
}

// Beds of one layer are alike in loudness (ITU-R BS.1770-5), the soft layer lies below the loud one by what the
// settings say, no true peak passes the ceiling, and the mono sum keeps the sound.
func TestBuiltBedsKeepTheirLevels(t *testing.T) {
	settings := shortBeds()
	settings.Project.RateHz, settings.Beds.LengthSec, settings.Beds.SoftBelowLoudDB = 48000, 4, 7
	settings.Grid.LowestKey, settings.Grid.HighestKey = 55, 60
	settings.Beds.LeastTakes = 3
	p := newProject(t, settings, aFew...)
	report := p.build()
	if len(report.Uneven) > 0 {
		t.Errorf("off their figures: %v", report.Uneven)
	}
	for _, slot := range settings.Slots() {
		left, right, rateHz := p.bed(slot)
		meter := sound.NewMeter(rateHz, sound.StereoWeights)
		meter.Add(left, right)
		lufs := meter.IntegratedLUFS()
		want := settings.Arrange.TargetLUFS
		if slot.Layer == "soft" {
			want -= 7
		}
		low, high := math.Inf(1), math.Inf(-1)
		for _, short := range meter.ShortTermLUFS() {
			low, high = min(low, short-lufs), max(high, short-lufs)
		}
		peak := 20 * math.Log10(max(sound.TruePeak(left), sound.TruePeak(right)))
		both, mono := 0.0, 0.0
		for i, l := range left {
			r := float64(right[i])
			both += float64(l)*float64(l) + r*r
			mono += (float64(l) + r) * (float64(l) + r) / 2
		}
		lost := 10 * math.Log10(both/mono)
		t.Logf("%s: %.2f LUFS, short-term %+.2f to %+.2f LU, %.2f dBTP, mono loses %.2f dB", slot, lufs, low,
			high, peak, lost)
		if math.Abs(lufs-want) > 0.25 { // so that two of a layer are within 0.5
			t.Errorf("%s: %.2f LUFS, want %.2f", slot, lufs, want)
		}
		if low < -2 || high > 2 {
			t.Errorf("%s: short-term loudness strays %.2f to %+.2f LU, want within 2", slot, low, high)
		}
		if peak > settings.Arrange.CeilingDBTP {
			t.Errorf("%s: true peak %.2f dBTP, want at most %.1f", slot, peak, settings.Arrange.CeilingDBTP)
		}
		if lost > 3 {
			t.Errorf("%s: the mono sum loses %.2f dB, want less than 3", slot, lost)
		}
	}
}

// With one take in a bed, the bed's pitch is the root's (ISO 16) within 2 cents, whatever key the take was recorded
// at.
func TestBuiltBedsAreInTune(t *testing.T) {
	settings := shortBeds()
	settings.Project.RateHz, settings.Beds.LengthSec = 32000, 4
	settings.Grid.LowestKey, settings.Grid.HighestKey = 55, 60
	settings.Beds.LeastTakes, settings.Beds.MostTakes, settings.Arrange.MinVoices = 1, 1, 1
	p := newProject(t, settings, "bassoon/A3.mp3", "bassoon/C4.mp3", "guitar-acoustic/B3.mp3", "piano/C4v10.flac")
	report := p.build()
	want := sound.KeyHz(60)
	for i, slot := range report.Assignment.Slots {
		left, right, rateHz := p.bed(slot)
		for k, r := range right {
			left[k] += r
		}
		off := testsound.Cents(testsound.MeasuredHz(testsound.Middle(left), rateHz, want), want)
		heard := testsound.Cents(measure.FindPitch(left, rateHz).Hz, want)
		take := report.Rows[report.Assignment.Beds[i][0].Index].Path
		t.Logf("%s in %s: fundamental %+.2f cents, pitch %+.2f", take, slot, off, heard)
		if !(math.Abs(heard) < 2) {
			t.Errorf("%s in %s: %+.2f cents off, want within 2", take, slot, heard)
		}
		// Strokes laid over one another move the phase that this is found by.
		if report.Rows[report.Assignment.Beds[i][0].Index].Kind == measure.Held && !(math.Abs(off) < 2) {
			t.Errorf("%s in %s: fundamental %+.2f cents off, want within 2", take, slot, off)
		}
	}
}
