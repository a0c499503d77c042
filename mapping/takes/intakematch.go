// Which row of the sheet is about which file, though files are renamed and contents change.

package takes

import "path"

// match finds for each file the index of its row, -1 for none. A row stays with its path as long as
// the content there is the same. Then a row follows its content when its old path is gone, or when
// the file that has the content now is itself in the sheet: names were swapped. Last, a row whose
// path has another content stays there: that take was edited.
func (s *Sheet) match(files []takeFile) []int {
	m := matching{rows: s.Rows, files: files, rowOf: make([]int, len(files)), fileOf: make([]int, len(s.Rows)),
		rowAt: map[string]int{}, fileAt: map[string]int{}}
	for i := range m.rowOf {
		m.rowOf[i] = -1
		m.fileAt[files[i].path] = i
	}
	for i := range m.fileOf {
		m.fileOf[i] = -1
		m.rowAt[s.Rows[i].Path] = i
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
	rowAt, fileAt map[string]int // by path
}

func (m *matching) pair(row, file int) { m.rowOf[file], m.fileOf[row] = row, file }

func (m *matching) byPath(sameContent bool) {
	for row := range m.rows {
		file, there := m.fileAt[m.rows[row].Path]
		if there && m.fileOf[row] < 0 && m.rowOf[file] < 0 && (!sameContent || m.rows[row].Hash == m.files[file].hash) {
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
		if m.fileOf[row] >= 0 {
			continue
		}
		_, pathThere := m.fileAt[m.rows[row].Path]
		for _, file := range byHash[m.rows[row].Hash] {
			_, inSheet := m.rowAt[m.files[file].path]
			if m.rowOf[file] < 0 && (!pathThere || inSheet) &&
				(!sameName || path.Base(m.files[file].path) == path.Base(m.rows[row].Path)) {
				m.pair(row, file)
				break
			}
		}
	}
}
