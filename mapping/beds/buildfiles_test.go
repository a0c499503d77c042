// What a build wrote, looked at; and the sound files that it is given.

package beds

import (
	"crypto/sha256"
	"encoding/binary"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

// beds are the contents of all bed files by name. What is hidden or no sound is left out.
func (p yard) beds() map[string]string {
	p.t.Helper()
	all := map[string]string{}
	entries, err := os.ReadDir(p.path(project.BedsFolder))
	if err != nil {
		p.t.Fatal(err)
	}
	for _, e := range entries {
		if _, err := mapping.ParseBedName(e.Name()); err == nil {
			all[e.Name()] = string(p.read(project.BedsFolder, e.Name()))
		}
	}
	return all
}

// leftovers are files in the folder of beds that are neither beds nor the record nor the courses of a bed that is there.
func (p yard) leftovers() (names []string) {
	p.t.Helper()
	entries, err := os.ReadDir(p.path(project.BedsFolder))
	if err != nil {
		p.t.Fatal(err)
	}
	var courses []string
	for _, e := range entries {
		if _, err := mapping.ParseBedName(e.Name()); err == nil {
			courses = append(courses, filepath.Base(coursesPath(e.Name())))
		}
	}
	for _, e := range entries {
		if _, err := mapping.ParseBedName(e.Name()); err != nil && e.Name() != project.BuiltFile &&
			!slices.Contains(courses, e.Name()) {
			names = append(names, e.Name())
		}
	}
	return names
}

// differing are the beds that are not alike in two builds.
func differing(a, b map[string]string) (names []string) {
	for name, data := range a {
		if b[name] != data {
			names = append(names, name)
		}
	}
	for name := range b {
		if _, found := a[name]; !found {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// bedsWith are the beds that hold a take, by the report.
func bedsWith(r *BuildReport, take string) (names []string) {
	for _, h := range r.Heard {
		if h.Path == take {
			for _, b := range h.Beds {
				names = append(names, b.Bed)
			}
		}
	}
	slices.Sort(names)
	return names
}

func namesOf(slots []mapping.BedName) (names []string) {
	for _, s := range slots {
		names = append(names, s.String())
	}
	slices.Sort(names)
	return names
}

// state is a digest of every file under a folder with its time.
func (p yard) state(folder string) string {
	p.t.Helper()
	var all strings.Builder
	err := filepath.WalkDir(p.path(folder), func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		info, err := entry.Info()
		if err != nil {
			return err
		}
		sum := sha256.Sum256(data)
		all.WriteString(path + " " + string(sum[:]) + " " + info.ModTime().String() + "\n")
		return nil
	})
	if err != nil {
		p.t.Fatal(err)
	}
	return all.String()
}

// sameBytes wants two builds to have given the same beds.
func sameBytes(t testing.TB, what string, got, want map[string]string) {
	t.Helper()
	if names := differing(got, want); len(names) > 0 || len(got) == 0 {
		t.Errorf("%s: %d beds, of which differ: %v", what, len(got), names)
	}
}

// wavOf is a WAV file of 16-bit samples, interleaved.
func wavOf(channels, rateHz int, samples []float32) []byte {
	data := make([]byte, 0, 44+2*len(samples))
	u16 := func(x int) { data = binary.LittleEndian.AppendUint16(data, uint16(x)) }
	u32 := func(x int) { data = binary.LittleEndian.AppendUint32(data, uint32(x)) }
	data = append(data, "RIFF"...)
	u32(36 + 2*len(samples))
	data = append(data, "WAVEfmt "...)
	u32(16)
	u16(1)
	u16(channels)
	u32(rateHz)
	u32(rateHz * channels * 2)
	u16(channels * 2)
	u16(16)
	data = append(data, "data"...)
	u32(2 * len(samples))
	for _, x := range samples {
		u16(int(math.Round(32767 * float64(x))))
	}
	return data
}

// reed is a held sound of key 57 (ISO 16: 220 Hz), alike in all channels.
func reed(channels, rateHz int, sec, amplitude float64) []byte {
	samples := make([]float32, int(sec*float64(rateHz))*channels)
	for i := range samples {
		at := float64(i/channels) / float64(rateHz)
		fade := min(1, 20*at, 20*(sec-at))
		for k := 1.0; k < 6; k++ {
			samples[i] += float32(amplitude * fade / k * math.Sin(2*math.Pi*220*k*at))
		}
	}
	return wavOf(channels, rateHz, samples)
}
