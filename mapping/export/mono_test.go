// Beds of one channel stay so, in files and bank, and sound as they do in the player.

package export

import (
	"path/filepath"
	"slices"
	"testing"

	"lapstrake/mapping/export/dls"
	"lapstrake/mapping/wav"
)

// Files of mono cycles have one channel and are proved like others; the bank has one wave for each cycle, which is
// played on both sides, so that neither is lowered as a reader lowers what stands in the middle. Stereo cycles beside
// them stay stereo.
func TestMonoStaysMono(t *testing.T) {
	j := yard(t, func(j *Job) {
		stereo, single := j.Cycles, mono(j.Cycles)
		j.Parts = append(j.Parts, AIFF)
		j.Cycles = func(zone, layer int) Cycle {
			if zone == 2 {
				return stereo(zone, layer)
			}
			return single(zone, layer)
		}
	})
	out, _ := written(t, j)
	items := itemsOf(t, j)
	for i := range items {
		file, err := wav.Open(filepath.Join(out, fileIn(WAV, &items[i])))
		if err != nil {
			t.Fatal(err)
		}
		if want := map[bool]int{false: 1, true: 2}[items[i].Zone.Rank == "F#"]; file.Info.Channels != want {
			t.Errorf("%s has %d channels, want %d", items[i].Name, file.Info.Channels, want)
		}
		file.Close()
	}
	b := j.layBank(items, 16)
	if want := 4 + 2*2; len(b.Waves) != want {
		t.Errorf("%d waves, want %d: one of each mono cycle, two of each stereo one", len(b.Waves), want)
	}
	for _, p := range b.Programs {
		sides := map[int][]dls.Channel{}
		for _, r := range p.Regions {
			sides[r.Wave] = append(sides[r.Wave], r.Channel)
		}
		for wave, on := range sides {
			item := &b.items[b.from[wave].item]
			want := []dls.Channel{dls.Left, dls.Right}
			if !item.Cycle.Mono {
				want = want[b.from[wave].side:][:1]
			}
			if slices.Sort(on); !slices.Equal(slices.Compact(on), want) {
				t.Errorf("%s, wave %d of %s sounds on %v, want %v", p.Name, wave, item.Name, on, want)
			}
		}
	}
}
