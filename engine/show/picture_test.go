package show_test

import (
	"bytes"
	"image"
	"image/png"
	"strings"
	"testing"

	"lapstrake/engine/show"
)

// A picture is read as a PNG; its lanes stand below the level, and a chord's picture is higher than a score's.
func TestPictureOfAChord(t *testing.T) {
	chord, sound := play(t, 3, 60, 55)
	levels := show.NewLevels(yardRateHz)
	levels.Add(sound)
	level := draw(t, &show.Picture{Title: "a score", Levels: levels})
	both := draw(t, &show.Picture{Title: "two keys", Levels: levels, Chord: chord})
	if more := both.Bounds().Dy() - level.Bounds().Dy(); more < 30 {
		t.Errorf("two lanes add %d pixels", more)
	}
	again := draw(t, &show.Picture{Title: "two keys", Levels: levels, Chord: chord})
	if !bytes.Equal(both.Pix, again.Pix) {
		t.Error("the same picture is drawn differently a second time")
	}
}

// The frame of the picture stays white, so nothing is cut off at its edges: labels, title, legends.
func TestPictureCutsNothingOff(t *testing.T) {
	chord, sound := play(t, 3, 60, 55, 49)
	levels := show.NewLevels(yardRateHz)
	levels.Add(sound)
	picture := draw(t, &show.Picture{Title: "C4 G3 C#3, held for 3 s", Levels: levels, Chord: chord})
	bounds := picture.Bounds()
	for y := bounds.Min.Y; y < bounds.Max.Y; y++ {
		for x := bounds.Min.X; x < bounds.Max.X; x++ {
			atEdge := min(x-bounds.Min.X, y-bounds.Min.Y, bounds.Max.X-1-x, bounds.Max.Y-1-y) < 8
			if r, g, b, _ := picture.At(x, y).RGBA(); atEdge && (r < 0xff00 || g < 0xff00 || b < 0xff00) {
				t.Fatalf("%v: something is drawn within 8 pixels of the edge, at %d, %d: %v", bounds, x, y,
					picture.At(x, y))
			}
		}
	}
}

func draw(t *testing.T, p show.Drawing) *image.Paletted {
	t.Helper()
	var file bytes.Buffer
	if err := show.WritePNG(&file, p); err != nil {
		t.Fatal(err)
	}
	picture, err := png.Decode(&file)
	if err != nil {
		t.Fatal(err)
	}
	few, ok := picture.(*image.Paletted)
	if !ok || len(few.Palette) < 10 {
		t.Fatalf("%T: want a small PNG with a palette", picture)
	}
	return few
}

// The picture of a sweep shows the controller as it moves, on the time axis of the sound.
func TestPictureOfASweep(t *testing.T) {
	chord, sound := play(t, 3, 60)
	levels := show.NewLevels(yardRateHz)
	levels.Add(sound)
	still := &show.Picture{Title: "held", Levels: levels, Chord: chord}
	moved := &show.Picture{Title: "swept", Levels: levels, Chord: chord, Moves: show.SweepEvents(11, 3*yardRateHz)}
	for picture, want := range map[*show.Picture][]bool{still: {false, true}, moved: {true, false}} {
		var file bytes.Buffer
		if err := show.WriteSVG(&file, picture); err != nil {
			t.Fatal(err)
		}
		words := svgWords(t, file.String())
		for i, says := range []string{"Dynamics: value of controller 11\n",
			"How far the farthest cycle is from where it began"} {
			if strings.Contains(words, says) != want[i] {
				t.Errorf("%s: %q is said: %v", picture.Title, says, !want[i])
			}
		}
	}
}

// Whoever is heard has a row, in the order in which they come forward, each name once.
func TestPictureSaysWhoIsHeard(t *testing.T) {
	chord, sound := play(t, 3, 60)
	levels := show.NewLevels(yardRateHz)
	levels.Add(sound)
	heard := &show.Heard{StepSec: 1}
	heard.Add([]show.HeardOne{{Name: "the oar", Sones: 3}})
	heard.Add([]show.HeardOne{{Name: "the bell", Strand: 1, Sones: 4}, {Name: "the oar", Sones: 2},
		{Name: "the bell", Sones: 1}})
	heard.Add(nil)
	picture := &show.Picture{Title: "held", Levels: levels, Chord: chord, Heard: heard}
	var file bytes.Buffer
	if err := show.WriteSVG(&file, picture); err != nil {
		t.Fatal(err)
	}
	words := svgWords(t, file.String())
	if oar, bell := strings.Index(words, "the oar"), strings.Index(words, "the bell"); oar < 0 || bell < oar ||
		strings.Count(words, "the bell") != 1 || !strings.Contains(words, "Who is heard") {
		t.Errorf("the oar at %d, the bell at %d, want each once below their heading: %s", oar, bell, words)
	}
	silent := &show.Picture{Title: "held", Levels: levels, Chord: chord}
	if more := draw(t, picture).Bounds().Dy() - draw(t, silent).Bounds().Dy(); more < 20 {
		t.Errorf("two who are heard add %d pixels", more)
	}
}
