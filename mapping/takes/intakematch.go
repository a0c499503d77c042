// Which row of the sheet is about which file, though files are renamed and contents change.

package takes

import (
	"cmp"
	"path"
)

// match finds for each file the index of its first row, -1 for none: rows about stretches of one file go together. A
// row stays with its path as long as the content there is the same. Then a row follows its content when its old path
// is gone, or when the file that has the content now is itself in the sheet: names were swapped. Last, a row whose
// path has another content stays there: that take was edited.
func (s *Sheet) match(files []takeFile) []int {
	m := matching{rows: s.Rows, files: files, rowOf: make([]int, len(files)), fileOf: make([]int, len(s.Rows)),
		rowAt: map[string]int{}, hashAt: map[string]string{}, fileAt: map[string]int{}}
	for i := range m.rowOf {
		m.rowOf[i] = -1
		m.fileAt[files[i].path] = i
	}
	for i := range m.fileOf {
		m.fileOf[i] = -1
		row := &s.Rows[i]
		if _, further := m.rowAt[row.Path]; !further {
			m.rowAt[row.Path] = i
		}
		m.hashAt[row.Path] = cmp.Or(m.hashAt[row.Path], row.Hash)
	}
	m.byPath(true)
	m.byContent(true)
	m.byContent(false)
	m.byPath(false)
	return m.rowOf
}

type matching struct {
	rows          []Row
	files         []takeFile
	rowOf, fileOf []int
	rowAt, fileAt map[string]int    // by path
	hashAt        map[string]string // of the rows of a path: one that was put in by hand has none yet
}

// leads says whether a row is the first one of its file.
func (m *matching) leads(row int) bool { return m.rowAt[m.rows[row].Path] == row }

func (m *matching) hash(row int) string { return m.hashAt[m.rows[row].Path] }

func (m *matching) pair(row, file int) { m.rowOf[file], m.fileOf[row] = row, file }

func (m *matching) byPath(sameContent bool) {
	for row := range m.rows {
		file, there := m.fileAt[m.rows[row].Path]
		if there && m.leads(row) && m.fileOf[row] < 0 && m.rowOf[file] < 0 &&
			(!sameContent || m.hash(row) == m.files[file].hash) {
			m.pair(row, file)
		}
	}
}

func (m *matching) byContent(sameName bool) {
	byHash := map[string][]int{}
	for file := range m.files {
		if m.rowOf[file] < 0 && m.files[file].hash != "" {
			byHash[m.files[file].hash] = append(byHash[m.files[file].hash], file)
		}
	}
	for row := range m.rows {
		if m.fileOf[row] >= 0 || !m.leads(row) {
			continue
		}
		_, pathThere := m.fileAt[m.rows[row].Path]
		for _, file := range byHash[m.hash(row)] {
			_, inSheet := m.rowAt[m.files[file].path]
			if m.rowOf[file] < 0 && (!pathThere || inSheet) &&
				(!sameName || path.Base(m.files[file].path) == path.Base(m.rows[row].Path)) {
				m.pair(row, file)
				break
			}
		}
	}
}

// rowsByPath gives the indices of all rows about a file.
func (s *Sheet) rowsByPath() map[string][]int {
	rows := map[string][]int{}
	for i := range s.Rows {
		rows[s.Rows[i].Path] = append(rows[s.Rows[i].Path], i)
	}
	return rows
}
