// What each take of a bed excites, kept beside the bed in a hidden file: who is heard in a note is told from these.

package beds

import (
	"bufio"
	"compress/gzip"
	"encoding/gob"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/whole"
)

// CoursesSuffix ends the names of these files: beds/loud-a-k060.wav has beds/.loud-a-k060.courses.
const CoursesSuffix = ".courses"

// coursesVersion is raised whenever the same bed would be given other courses.
const coursesVersion = 1

// coursesHead is the first line of the file, as JSON. It tells which bed and which recordings the rest is about, so that
// a file that holds something of a recording can be known by its hash. The rest is a compressed gob of the courses.
type coursesHead struct {
	Version int           `json:"version"`
	Bed     string        `json:"bed_sha256"`
	Takes   []courseTaken `json:"takes"`
}

// courseTaken is the take of a course.
type courseTaken struct {
	Hash string `json:"sha256"`
	takes.Stretch
}

// coursesPath is where the courses of a bed lie.
func coursesPath(bed string) string {
	return filepath.Join(filepath.Dir(bed), "."+strings.TrimSuffix(filepath.Base(bed), ".wav")+CoursesSuffix)
}

// KeepCourses writes the courses of a bed's takes, in their order, beside the bed of that content.
func KeepCourses(bed, bedHash string, held []TakeInBed, courses []*hearing.Course) error {
	head := coursesHead{Version: coursesVersion, Bed: bedHash}
	for _, take := range held {
		head.Takes = append(head.Takes, courseTaken{take.Hash, take.Stretch})
	}
	file, err := whole.Create(coursesPath(bed))
	if err != nil {
		return err
	}
	defer file.Discard()
	if err := json.NewEncoder(file).Encode(head); err != nil {
		return err
	}
	packed := gzip.NewWriter(file)
	if err := gob.NewEncoder(packed).Encode(courses); err != nil {
		return err
	}
	if err := packed.Close(); err != nil {
		return err
	}
	return file.Commit()
}

// openCourses opens the file of a bed of that content and reads its first line.
func openCourses(bed, bedHash string) (*os.File, *bufio.Reader, error) {
	path := coursesPath(bed)
	file, err := os.Open(path)
	if err != nil {
		return nil, nil, err
	}
	rest := bufio.NewReader(file)
	line, err := rest.ReadBytes('\n')
	var head coursesHead
	if err == nil {
		err = json.Unmarshal(line, &head)
	}
	if err == nil && (head.Version != coursesVersion || head.Bed != bedHash) {
		err = fmt.Errorf("%s: is of another bed or version", path)
	}
	if err != nil {
		file.Close()
		return nil, nil, err
	}
	return file, rest, nil
}

// hasCourses says whether the file of a bed of that content is there.
func hasCourses(bed, bedHash string) bool {
	file, _, err := openCourses(bed, bedHash)
	if err != nil {
		return false
	}
	return file.Close() == nil
}

// readCourses reads the courses of a bed of that content.
func readCourses(bed, bedHash string) (courses []*hearing.Course, err error) {
	file, rest, err := openCourses(bed, bedHash)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	packed, err := gzip.NewReader(rest)
	if err != nil {
		return nil, err
	}
	return courses, gob.NewDecoder(packed).Decode(&courses)
}

// sweepCourses removes the files whose beds are not the record's any more.
func (record *buildRecord) sweepCourses(dir string) {
	files, _ := filepath.Glob(filepath.Join(dir, project.BedsFolder, ".*"+CoursesSuffix))
	for _, file := range files {
		name := strings.TrimSuffix(strings.TrimPrefix(filepath.Base(file), "."), CoursesSuffix) + ".wav"
		entry := record.Beds[name]
		if entry == nil || !hasCourses(filepath.Join(dir, project.BedsFolder, name), entry.Hash) {
			os.Remove(file)
		}
	}
}
