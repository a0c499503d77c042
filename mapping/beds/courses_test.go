// What takes excite is kept beside their beds: as it is in the finished bed, always with it, and never longer.

package beds

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/wav"
)

// stems reads those of all beds.
func (p yard) stems() (all []Stems) {
	p.t.Helper()
	var paths []string
	for name := range p.beds() {
		paths = append(paths, project.BedsFolder+"/"+name)
	}
	slices.Sort(paths)
	all, err := ReadStems(p.dir, paths)
	if err != nil {
		p.t.Fatal(err)
	}
	return all
}

// courseFiles are the files of courses, by name.
func (p yard) courseFiles() map[string]string {
	p.t.Helper()
	files, err := filepath.Glob(p.path(project.BedsFolder, ".*"+CoursesSuffix))
	if err != nil {
		p.t.Fatal(err)
	}
	all := map[string]string{}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			p.t.Fatal(err)
		}
		all[filepath.Base(file)] = string(data)
	}
	return all
}

// bedPowers is the mean square of each block of a bed.
func (p yard) bedPowers(bed string) []float64 {
	p.t.Helper()
	file, err := wav.Open(p.path(bed))
	if err != nil {
		p.t.Fatal(err)
	}
	defer file.Close()
	frames := make([]float32, 2*file.Info.Frames)
	if err := file.ReadFrames(frames, 0); err != nil {
		p.t.Fatal(err)
	}
	left, right := make([]float32, file.Info.Frames), make([]float32, file.Info.Frames)
	for i := range left {
		left[i], right[i] = frames[2*i], frames[2*i+1]
	}
	return hearing.BlockPowers(left, right, file.Info.RateHz)
}

// The courses of a bed's takes sum to the bed: its level is in them, whatever was done to it after the takes were
// mixed.
func TestCoursesSumToTheirBed(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.build()
	sumOfAll, wantOfAll := 0.0, 0.0
	for _, s := range p.stems() {
		if !s.Built || len(s.Courses) < 2 || len(s.Courses) != len(s.Takes) || len(s.Rows) != len(s.Takes) {
			t.Fatalf("%s: built %v, %d courses of %d takes", s.Bed, s.Built, len(s.Courses), len(s.Takes))
		}
		sum, want := 0.0, 0.0
		for block, power := range p.bedPowers(s.Bed) {
			want += power
			for _, course := range s.Courses {
				for _, band := range course.At(block) {
					sum += band
				}
			}
		}
		// Takes in tune are not quite unrelated, and a course sees a third of each of the eight blocks: it may miss a
		// stroke.
		if stepDB := sound.PowerDB(sum / want); math.Abs(stepDB) > 3 {
			t.Errorf("%s: its takes together are %.1f dB against the bed", s.Bed, stepDB)
		}
		sumOfAll, wantOfAll = sumOfAll+sum, wantOfAll+want
	}
	if stepDB := sound.PowerDB(sumOfAll / wantOfAll); math.Abs(stepDB) > 1 {
		t.Errorf("the takes of all beds together are %.1f dB against the beds", stepDB)
	}
}

// The same build keeps the same courses; where they are missing or spoilt, the next build makes the very same bed
// anew.
func TestCoursesAreMadeAnewWhenMissing(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.build()
	beds, courses := p.beds(), p.courseFiles()
	if len(courses) != len(beds) {
		t.Fatalf("%d files of courses for %d beds", len(courses), len(beds))
	}
	other := p.copied()
	other.build()
	sameBytes(t, "courses of another build", other.courseFiles(), courses)

	const gone, spoilt = "soft-a-k060.wav", "loud-b-k072.wav"
	if err := os.Remove(coursesPath(p.path(project.BedsFolder, gone))); err != nil {
		t.Fatal(err)
	}
	text := bytes.Replace(p.read(project.BedsFolder, ".loud-b-k072"+CoursesSuffix), []byte(`"version":1`),
		[]byte(`"version":0`), 1)
	if err := os.WriteFile(coursesPath(p.path(project.BedsFolder, spoilt)), text, 0o666); err != nil {
		t.Fatal(err)
	}
	for _, s := range p.stems() {
		missing := strings.HasSuffix(s.Bed, gone) || strings.HasSuffix(s.Bed, spoilt)
		if !s.Built || (s.Courses == nil) != missing {
			t.Errorf("%s: built %v, courses %v", s.Bed, s.Built, s.Courses != nil)
		}
	}
	if st, err := Stands(p.dir); err != nil || len(st.Older) != 2 {
		t.Errorf("beds that the next build makes again: %v, %v", st.Older, err)
	}
	if built := namesOf(p.build().Built); !slices.Equal(built, []string{spoilt, gone}) {
		t.Errorf("made anew: %v", built)
	}
	sameBytes(t, "beds made anew", p.beds(), beds)
	sameBytes(t, "courses made anew", p.courseFiles(), courses)
}

// No file of courses tells of a take that is not used any more, and a bed edited by hand has none.
func TestCoursesGoWithTheirTakes(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.build()
	hash := ""
	p.edit(aFew[1], func(row *takes.Row) { row.Use, hash = false, row.Hash })
	holding := func() (names []string) {
		for name, text := range p.courseFiles() {
			if strings.Contains(text, hash) {
				names = append(names, name)
			}
		}
		return names
	}
	if len(holding()) == 0 {
		t.Fatal("no file of courses tells whom it is about")
	}
	p.build()
	if names := holding(); len(names) > 0 {
		t.Errorf("%s is not used any more, and %v tell of it", aFew[1], names)
	}
	path := p.path(project.BedsFolder, "soft-a-k060.wav")
	if err := os.WriteFile(path, wavOf(2, 16000, make([]float32, 2*32000)), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, s := range p.stems() {
		if edited := strings.HasSuffix(s.Bed, "soft-a-k060.wav"); s.Built == edited {
			t.Errorf("%s: edited %v, built %v", s.Bed, edited, s.Built)
		}
	}
}
