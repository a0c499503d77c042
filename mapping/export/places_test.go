package export

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"lapstrake/mapping/export/credits"
	"lapstrake/mapping/wav"
)

// Each file tells where its strands begin, from its own start on, whose sounds are in it, and a date only where one is
// given.
func TestFilesTellPlacesRightsAndDate(t *testing.T) {
	j := yard(t, func(j *Job) {
		j.Parts, j.Map.StrandTitles = Parts{WAV}, []string{"what goes on", "what is struck"}
		j.Credits = &credits.Credits{Takes: []credits.Take{
			{Path: "ama/mug.wav", Credit: "Ama",
				Places: []credits.Place{{Bed: "beds/soft-a-k036.wav"}, {Bed: "beds/soft-b-k036.wav"}}},
			{Path: "bo/oar.wav", Credit: "Bo",
				Places: []credits.Place{{Bed: "beds/soft-b-k036.wav"}, {Bed: "beds/loud-a-k048.wav"}}},
		}}
	})
	text := func(labels wav.Labels, id string) string {
		for _, text := range labels.Texts {
			if text.ID == id {
				return text.Text
			}
		}
		return ""
	}
	read := func(out string, i *Item) wav.Labels {
		file, err := os.Open(filepath.Join(out, fileIn(WAV, i)))
		if err != nil {
			t.Fatal(err)
		}
		defer file.Close()
		info, err := file.Stat()
		if err != nil {
			t.Fatal(err)
		}
		labels, err := wav.ReadLabels(file, info.Size(), i.Name)
		if err != nil {
			t.Fatal(err)
		}
		return labels
	}
	out, _ := written(t, j)
	items := itemsOf(t, j)
	first, turned := read(out, &items[0]), read(out, &items[1]) // starts of 0 and 3/4
	if want := fmt.Sprint([]wav.Cue{{Frame: 0, Label: "what goes on"},
		{Frame: yardFrames / 2, Label: "what is struck"}}); fmt.Sprint(first.Cues) != want {
		t.Errorf("places %v, want %s", first.Cues, want)
	}
	start := items[1].startFrame
	if want := fmt.Sprint([]wav.Cue{{Frame: yardFrames - start, Label: "what goes on"},
		{Frame: yardFrames + yardFrames/2 - start, Label: "what is struck"}}); fmt.Sprint(turned.Cues) != want {
		t.Errorf("places of a turned file %v, want %s", turned.Cues, want)
	}
	if got, want := text(first, "ICOP"), "with the sounds of Ama; Bo. Their terms stand in CREDITS.txt."; got != want {
		t.Errorf("rights %q, want %q", got, want)
	}
	if got := text(turned, "ICOP"); got != "" || text(first, "ICRD") != "" || first.Broadcast.Date != "" {
		t.Errorf("a file without known sounds has rights %q; dates %q and %q, want none", got, text(first, "ICRD"),
			first.Broadcast.Date)
	}
	j.Date = time.Unix(1_750_000_000, 0)
	out, _ = written(t, j)
	dated := read(out, &items[0])
	if dated.Broadcast.Date != "2025-06-15" || dated.Broadcast.Time != "15:06:40" ||
		text(dated, "ICRD") != "2025-06-15" {
		t.Errorf("date %q %q, %q", dated.Broadcast.Date, dated.Broadcast.Time, text(dated, "ICRD"))
	}
}
