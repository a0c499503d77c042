// The report as a page: its words, its pictures, its sounds.

package check_test

import (
	"bytes"
	"context"
	"encoding/base64"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"lapstrake/engine/check"
	"lapstrake/engine/show"
	"lapstrake/mapping"
	"lapstrake/mapping/takes/decode"
)

// faultyYard has findings on keys, seams, beds, joins, chords and on nothing that sounds.
func faultyYard(seed uint64) *yard {
	y := soundYard(seed)
	for name, frames := range y.beds {
		if name.Root == 60 {
			gain(frames, 5)
		}
		for i := 0; name.Root > 60 && i < len(frames); i += 2 {
			frames[i+1] = -0.9 * frames[i]
		}
	}
	late := y.beds[y.names()[0]]
	clear(late[len(late)-2*yardOverlapFrames:])
	y.grid.StaggerBy, y.grid.Starts, y.grid.RanksApartTurns = mapping.ByZone, []float64{0.25}, 0
	y.change = func(m *mapping.Map) { m.Polyphony = 40 }
	y.settings.Limits.ReturnSec = []float64{1e5, 1}
	return y
}

func run(t *testing.T, in check.Input) *check.Report {
	t.Helper()
	report, err := check.Run(context.Background(), in, nil)
	if err != nil {
		t.Fatal(err)
	}
	return report
}

// Every finding that can be heard has a sound of its own, which another reader reads, which lasts as long as the page
// says and in which something sounds, at the level of the player. The page holds these very files and says what they
// take. What sounds nowhere has none.
func TestClipsOfThePage(t *testing.T) {
	in := faultyYard(31).open(t)
	in.Keys = []int{60, 72}
	report := run(t, in)
	clips, left, err := check.Clips(context.Background(), in, report, nil)
	if err != nil || left != 0 {
		t.Fatalf("%d findings without a sound, %v", left, err)
	}
	heard := map[string]check.Clip{}
	for _, clip := range clips {
		heard[clip.Finding] = clip
	}
	kinds, ids := map[string]bool{}, map[string]bool{}
	for _, part := range report.Parts {
		for _, f := range part.Findings {
			if ids[f.ID] {
				t.Errorf("%s is the id of two findings", f.ID)
			}
			kinds[f.What], ids[f.ID] = true, true
			if _, ok := heard[f.ID]; ok == (part.Name == "budget") {
				t.Errorf("%s: has a sound: %v", f.ID, ok)
			}
		}
	}
	for _, kind := range []string{
		"return_sec", "start_shared_percent", "seam_lu", "join_db", "bed_lu", "mono_loss_db", "voices_percent",
	} {
		if !kinds[kind] {
			t.Errorf("no %s among the findings: its sound is not tried", kind)
		}
	}
	page := pageOf(t, report, check.Page{Title: "Yard", Clips: clips})
	size := 0
	for _, source := range regexp.MustCompile(`src="(data:audio/flac;base64,([^"]*))"`).FindAllStringSubmatch(page,
		-1) {
		size += len(source[1])
		file, err := base64.StdEncoding.DecodeString(source[2])
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(t.TempDir(), "clip.flac")
		if err := os.WriteFile(path, file, 0o666); err != nil {
			t.Fatal(err)
		}
		sound, err := decode.File(path)
		if err != nil {
			t.Fatal(err)
		}
		peak := 0.0
		for _, sample := range sound.Channels[0] {
			peak = max(peak, math.Abs(float64(sample)))
		}
		sec := float64(sound.Frames()) / yardRateHz
		if len(sound.Channels) != 2 || sec < 1.9 || sec > 8.1 || peak < 0.002 || peak > 0.5 {
			t.Errorf("a sound of %d channels, %.2f s, peak %.4f", len(sound.Channels), sec, peak)
		}
		clips = clips[1:]
	}
	said := regexp.MustCompile(`They take ([0-9.]+) of the ([0-9.]+) MB`).FindStringSubmatch(page)
	if len(clips) != 0 || said == nil {
		t.Fatalf("%d sounds are not on the page, which says %q", len(clips), said)
	}
	if mb, _ := strconv.ParseFloat(said[1], 64); mb < float64(size)/1e6 || mb > float64(size)/1e6+0.1 {
		t.Errorf("the sounds take %d bytes, and the page says %s MB", size, said[1])
	}
	caution, first := strings.Index(page, "Mind your ears."), strings.Index(page, "<audio")
	if caution < 0 || caution > first {
		t.Error("the caution does not stand before the first sound")
	}
}

func pageOf(t *testing.T, report *check.Report, p check.Page) string {
	t.Helper()
	var page bytes.Buffer
	if err := report.WriteHTML(&page, p); err != nil {
		t.Fatal(err)
	}
	return page.String()
}

// The words of the page have a contrast of 4.5 to 1 with its paper at least, in light and in dark (WCAG 2.2, success
// criterion 1.4.3). Nothing comes from outside, and what the builder wrote stays text.
func TestPage(t *testing.T) {
	in := faultyYard(32).open(t)
	in.Parts = []string{"seams", "budget"}
	report := run(t, in)
	page := pageOf(t, report, check.Page{Title: "<b>Yard</b> & co", Artist: "neighbours", Counts: "so many"})
	for _, want := range []string{
		"&lt;b&gt;Yard&lt;/b&gt; &amp; co", "By neighbours.", "so many", "@font-face", "<svg", `scope="col"`,
	} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is not on the page", want)
		}
	}
	for _, not := range []string{"<b>", "ZgotmplZ", "<audio", "@import", "<link", "Mind your ears"} {
		if strings.Contains(page, not) {
			t.Errorf("%q is on the page", not)
		}
	}
	if outside := regexp.MustCompile(`(src|href)="(https?:)?//|url\(h`).FindString(page); outside != "" {
		t.Errorf("%s: something comes from outside", outside)
	}
	variables := regexp.MustCompile(`--([a-z0-9-]+): (#[0-9A-Fa-f]{6})`).FindAllStringSubmatch(page, -1)
	schemes := []map[string]string{{}, {}}
	for _, v := range variables {
		scheme := schemes[0]
		if _, light := scheme[v[1]]; light {
			scheme = schemes[1]
		}
		scheme[v[1]] = v[2]
	}
	for _, scheme := range schemes {
		for _, name := range []string{"text", "faint", "passes", "warns", "fails", "mark", "axis"} {
			if ratio := contrast(t, scheme[name], scheme["paper"]); ratio < 4.5 {
				t.Errorf("%s %s on %s: a contrast of %.2f", name, scheme[name], scheme["paper"], ratio)
			}
		}
	}
}

// contrast is the contrast ratio of WCAG 2.2.
func contrast(t *testing.T, a, b string) float64 {
	luminance := func(hex string) (sum float64) {
		rgb, err := strconv.ParseUint(strings.TrimPrefix(hex, "#"), 16, 32)
		if err != nil {
			t.Fatal(err)
		}
		for i, weight := range []float64{0.0722, 0.7152, 0.2126} {
			v := float64(rgb>>(8*i)&0xff) / 255
			if v <= 0.04045 {
				sum += weight * v / 12.92
			} else {
				sum += weight * math.Pow((v+0.055)/1.055, 2.4)
			}
		}
		return sum
	}
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// A finding on keys is marked in the drawings over the keyboard that are about it, by its number on the page; the
// pictures of all checks are a set of files with names of their own.
func TestPicturesMarkFindings(t *testing.T) {
	in := faultyYard(33).open(t)
	in.Waivers = []check.Waiver{{ID: "seam_erb:*", Reason: "heard"}}
	report := run(t, in)
	files, marked := map[string]bool{}, map[string]bool{}
	for _, picture := range report.Pictures() {
		if files[picture.File] || !regexp.MustCompile(`^[a-z0-9-]+$`).MatchString(picture.File) {
			t.Errorf("%q is there before, or no name of a file", picture.File)
		}
		files[picture.File] = true
		var svg, pixels bytes.Buffer
		if err := show.WriteSVG(&svg, picture.Drawing); err != nil || svg.Len() < 1000 {
			t.Errorf("%s: an SVG of %d bytes, %v", picture.File, svg.Len(), err)
		}
		if err := show.WritePNG(&pixels, picture.Drawing); err != nil {
			t.Fatal(err)
		}
		if image, err := png.Decode(&pixels); err != nil || image.Bounds().Dx() < 1000 {
			t.Errorf("%s: no PNG of a page's width: %v", picture.File, err)
		}
	}
	for _, part := range report.Parts {
		for _, drawing := range part.Drawings {
			curves, ok := drawing.(*show.Curves)
			if !ok {
				continue
			}
			for _, mark := range curves.Marks {
				number, err := strconv.Atoi(mark.Text)
				if err != nil || number < 1 || number > len(part.Findings) {
					t.Fatalf("%s: marked %q", curves.Title, mark.Text)
				}
				f := part.Findings[number-1]
				x := float64(f.Place.Keys[0])
				if part.Name == "seams" {
					x += 0.5
				}
				if f.Waived != "" || x != mark.X || mark.Grave != (f.Verdict == check.Fails) {
					t.Errorf("%s: %+v marks %+v", curves.Title, mark, f)
				}
				marked[curves.Title+": "+f.What] = true
			}
		}
	}
	for title, what := range map[string]string{
		"Loudness over the keyboard": "seam_lu", "Lost in mono": "mono_loss_db",
		"Where each key begins": "start_shared_percent",
	} {
		if !marked[title+": "+what] {
			t.Errorf("%s: %s is not marked: %v", title, what, marked)
		}
	}
	if !files["returns-the-course-of-g3-d4"] || len(files) < 9 {
		t.Errorf("the pictures are %v", files)
	}
}
