// Which files of takes/ are takes.

package takes

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"lapstrake/mapping/project"
)

// takeFile is a file that is taken for a take.
type takeFile struct {
	path  string // inside takes/, with slashes
	bytes int64
	hash  string // see Hash; "" if the file cannot be read
}

// LeftOut is something in takes/ that gets no row.
type LeftOut struct {
	Path string `json:"path"`
	Why  string `json:"why"`
}

// notSound are the endings of what people send along with their recordings, and of what operating
// systems and sound editors leave beside them. Everything else is a take until it is found unreadable.
var notSound = strings.Fields(`
	txt md rtf pdf doc docx odt pages html htm eml csv xls xlsx ods numbers json xml yaml yml toml
	jpg jpeg png gif webp heic tif tiff bmp svg zip rar 7z gz tar ini db lnk url exe tmp part
	asd sfk pkf reapeaks sfl gpk mid midi cue log nfo m3u`)

// findTakes lists the files of takes/ by their paths. Hidden files are passed over; links are followed
// to files inside the project only, so that a project can be moved and nothing outside is read.
func findTakes(dir string) ([]takeFile, []LeftOut, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: no such folder: expected a project with recordings in %s", dir,
			filepath.Join(dir, project.TakesFolder))
	}
	defer root.Close()
	if info, err := root.Stat(project.TakesFolder); err != nil || !info.IsDir() {
		return nil, nil, fmt.Errorf("%s: no folder of takes inside the project: put the recordings there, each "+
			"contributor's in a folder of their own",
			filepath.Join(dir, project.TakesFolder))
	}
	f := takeFinder{root: root}
	entries, err := fs.ReadDir(root.FS(), project.TakesFolder)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: cannot be listed: %w; make the folder readable",
			filepath.Join(dir, project.TakesFolder), err)
	}
	f.visit("", entries)
	slices.SortFunc(f.files, func(a, b takeFile) int { return strings.Compare(a.path, b.path) })
	return f.files, f.leftOut, nil
}

type takeFinder struct {
	root    *os.Root
	files   []takeFile
	leftOut []LeftOut
}

func (f *takeFinder) leave(where, why string) { f.leftOut = append(f.leftOut, LeftOut{where, why}) }

func (f *takeFinder) visit(folder string, entries []fs.DirEntry) {
	for _, entry := range entries {
		where := path.Join(folder, entry.Name())
		switch {
		case strings.HasPrefix(entry.Name(), ".") || entry.Name() == "__MACOSX":
		case !utf8.ValidString(entry.Name()):
			f.leave(fmt.Sprintf("%q", where), "its name is not UTF-8, as the sheet is; rename it")
		case entry.IsDir():
			inside, err := fs.ReadDir(f.root.FS(), path.Join(project.TakesFolder, where))
			if err != nil {
				f.leave(where, "the folder cannot be listed; make it readable")
				continue
			}
			f.visit(where, inside)
		default:
			f.visitFile(where, entry.Type())
		}
	}
}

func (f *takeFinder) visitFile(where string, kind fs.FileMode) {
	if slices.Contains(notSound, strings.ToLower(strings.TrimPrefix(path.Ext(where), "."))) {
		f.leave(where, "no sound by its name")
		return
	}
	info, err := f.root.Stat(path.Join(project.TakesFolder, where))
	switch {
	case err != nil && kind&fs.ModeSymlink != 0 && errors.Is(err, fs.ErrNotExist):
		f.leave(where, "a link to nothing; put the file itself there")
	case err != nil && kind&fs.ModeSymlink != 0:
		f.leave(where, "a link out of the project; put the file itself there")
	case err != nil:
		f.leave(where, "cannot be looked at; make it readable")
	case kind&fs.ModeSymlink != 0 && info.IsDir():
		f.leave(where, "a link to a folder; put the folder itself there")
	case !info.Mode().IsRegular():
		f.leave(where, "a device, pipe or socket; put a file there")
	default:
		f.files = append(f.files, takeFile{path: where, bytes: info.Size()})
	}
}

// Unlisted are the recordings in takes/ of the project in dir that no row of the sheet is about. A project without
// takes/ has none.
func Unlisted(dir string, sheet *Sheet) ([]string, error) {
	if _, err := os.Stat(filepath.Join(dir, project.TakesFolder)); errors.Is(err, fs.ErrNotExist) {
		return []string{}, nil
	}
	files, _, err := findTakes(dir)
	if err != nil {
		return nil, err
	}
	listed := map[string]bool{}
	for i := range sheet.Rows {
		listed[sheet.Rows[i].Path] = true
	}
	unlisted := []string{}
	for _, file := range files {
		if !listed[file.path] {
			unlisted = append(unlisted, file.path)
		}
	}
	return unlisted, nil
}
