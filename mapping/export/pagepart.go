// Writer of the part that plays: a page for any browser, which is opened as a file. Such a page may read nothing
// beside it but scripts and styles, so everything is one of these.

package export

import (
	"bytes"
	"cmp"
	"compress/gzip"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"

	"lapstrake/mapping/pages"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/terms"
	"lapstrake/mapping/whole"
)

// The files of the part, in its folder; each sound has one of its own.
const (
	pageFolder  = "page"
	pageFile    = "index.html"
	pageStyle   = "page.css"
	pageScript  = "page.js"   // what the page does
	pagePlayer  = "player.js" // the script of the browser's audio thread
	pageTold    = "told.js"   // what it is told of the instrument
	pageHeard   = "heard.js"  // what the takes of each bed excite
	pageSounds  = "sounds"    // folder
	soundEnding = ".js"
)

// pageTellings is what told.js holds; mapping/pages/web/types.js describes it as AloneTold.
type pageTellings struct {
	KeyMap   *KeyMap        `json:"keyMap"`
	Map      pages.Map      `json:"map"`
	RowZones []int          `json:"rowZones"` // of the key map's files, as indices into the map's zones
	Heard    *pageBeds      `json:"heard"`    // null: nobody knows who is in which bed
	Credits  []pageCredited `json:"credits"`
	Made     []string       `json:"made"` // what the page gave up
}

type pageCredited struct {
	Name  string   `json:"name"`
	Terms string   `json:"terms"`
	Takes []string `json:"takes"`
}

// pageBeds tells who is in which bed, and where in heard.js the courses of its takes stand.
type pageBeds struct {
	OverlapSec float64   `json:"overlapSec"`
	Beds       []pageBed `json:"beds"`
}

type pageBed struct {
	Path   string     `json:"path"`
	Takes  []pageTake `json:"takes"`
	From   int        `json:"from"`   // byte
	Blocks []int      `json:"blocks"` // of each take
}

type pageTake struct {
	Name  string `json:"name"`
	Title string `json:"title"` // as the sheet has it, or ""
	Who   string `json:"who"`   // whom people read
}

// isPageSound says whether a file of the part, named from the export's folder, holds a sound.
func isPageSound(name string) bool { return path.Dir(name) == path.Join(pageFolder, pageSounds) }

// pageSoundName is the file of an item's sound, named from the part's folder.
func pageSoundName(i *Item) string { return path.Join(pageSounds, i.Name+soundEnding) }

// writePage writes a sound, or all else.
func (j *Job) writePage(items []Item, at fileAt, step stepped) ([]int64, error) {
	if isPageSound(at.name) {
		clipped, err := j.writePageSound(&items[0], at, step)
		return []int64{clipped}, err
	}
	files, err := j.pageTexts()
	if err != nil {
		return nil, err
	}
	for name, data := range files {
		if err := whole.Write(filepath.Join(filepath.Dir(at.path()), name), data); err != nil {
			return nil, err
		}
	}
	return nil, nil
}

// pageTextBytes is how large all is but the sounds.
func (j *Job) pageTextBytes() (bytes int64, err error) {
	files, err := j.pageTexts()
	for _, data := range files {
		bytes += int64(len(data))
	}
	return bytes, err
}

// pageTexts are all files but the sounds, by name.
func (j *Job) pageTexts() (map[string][]byte, error) {
	files := map[string][]byte{}
	told, courses, err := j.tellPage()
	if err != nil {
		return nil, err
	}
	text, err := json.Marshal(told)
	if err != nil {
		return nil, err
	}
	if text, err = json.Marshal(string(text)); err != nil { // browsers read JSON faster than they read scripts
		return nil, err
	}
	files[pageTold] = fmt.Appendf(nil, "window.lapstrake = { told: %s };\n", text)
	if told.Heard != nil {
		if files[pageHeard], err = packed(courses); err != nil {
			return nil, err
		}
	}
	player, err := pages.Join("alone/processor.js")
	if err != nil {
		return nil, err
	}
	if text, err = json.Marshal(string(player)); err != nil {
		return nil, err
	}
	files[pagePlayer] = fmt.Appendf(nil, "lapstrake.player = %s;\n", text)
	if files[pageScript], err = pages.Join("alone/main.js"); err != nil {
		return nil, err
	}
	for _, style := range []string{"frame.css", "sounding/sounding.css", "alone/alone.css"} {
		text, err := fs.ReadFile(pages.Web(), style)
		if err != nil {
			return nil, err
		}
		files[pageStyle] = append(files[pageStyle], text...)
	}
	if files[pageFile], err = fs.ReadFile(pages.Web(), "alone/index.html"); err != nil {
		return nil, err
	}
	return files, nil
}

// packed is a script that gives compressed bytes as a text.
func packed(data []byte) ([]byte, error) {
	var zipped bytes.Buffer
	w := gzip.NewWriter(&zipped)
	if _, err := w.Write(data); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return givingScript(zipped.Bytes()), nil
}

// givingScript is a script that gives bytes as a text in base64.
func givingScript(data []byte) []byte {
	return fmt.Appendf(nil, "%s%s%s", givingBegin, base64.StdEncoding.EncodeToString(data), givingEnd)
}

const (
	givingBegin = "lapstrake.give(\""
	givingEnd   = "\");\n"
)

// tellPage is what the page is told, and the courses that heard.js holds.
func (j *Job) tellPage() (told *pageTellings, courses []byte, err error) {
	p := j.pageJob()
	told = &pageTellings{Credits: []pageCredited{}, Made: []string{}}
	if told.KeyMap, told.RowZones, err = p.pageKeyMap(); err != nil {
		return nil, nil, err
	}
	told.Map = pages.Describe(j.Title, 0, j.Map, func(zone, layer int) pages.Turn {
		cycle := p.Cycles(zone, layer)
		return pages.Turn{CycleLength: cycle.CycleLength, Begins: cycle.Begins}
	})
	for _, line := range j.Page.GaveUp {
		told.Made = append(told.Made, "This page was made smaller: "+line+".")
	}
	told.Heard, courses = j.tellHeard()
	if j.Credits != nil {
		at := map[[2]string]int{}
		for k := range j.Credits.Takes {
			take := &j.Credits.Takes[k]
			key := [2]string{take.Name(), licence(take.Terms)}
			if _, found := at[key]; !found {
				at[key] = len(told.Credits)
				told.Credits = append(told.Credits, pageCredited{Name: key[0], Terms: key[1]})
			}
			one := &told.Credits[at[key]]
			one.Takes = append(one.Takes, take.Path)
		}
	}
	return told, courses, nil
}

// licence is what stands beside a name: terms that are a licence. What was agreed is between the two who agreed.
func licence(t terms.Terms) string {
	if t == terms.PublicDomain || t.AsksForName() {
		return string(t)
	}
	return ""
}

// creditNames are whom to credit for a take, by its path.
func (j *Job) creditNames() map[string]string {
	names := map[string]string{}
	if j.Credits != nil {
		for k := range j.Credits.Takes {
			names[j.Credits.Takes[k].Path] = j.Credits.Takes[k].Name()
		}
	}
	return names
}

// tellHeard tells of the beds whose takes are known; nil where none are.
func (j *Job) tellHeard() (told *pageBeds, courses []byte) {
	names := j.creditNames()
	for i := range j.Stems {
		stems := &j.Stems[i]
		if stems.Courses == nil {
			continue
		}
		if told == nil {
			told = &pageBeds{OverlapSec: j.Map.OverlapSec}
		}
		bed := pageBed{Path: stems.Bed, From: len(courses), Takes: []pageTake{}, Blocks: []int{}}
		for k, take := range stems.Takes {
			name := takes.TakeName(take.Path, take.Stretch)
			bed.Takes = append(bed.Takes, pageTake{name, stems.Rows[k].Title,
				cmp.Or(names[take.Path], stems.Rows[k].Contributor)})
			bed.Blocks = append(bed.Blocks, stems.Courses[k].Blocks())
			courses = append(courses, stems.Courses[k].Steps...)
		}
		told.Beds = append(told.Beds, bed)
	}
	return told, courses
}

// provePage reads a sound back.
func (j *Job) provePage(items []Item, at fileAt, clipped []int64, step stepped) ([]Proof, error) {
	if !isPageSound(at.name) {
		return nil, nil
	}
	return j.provePageSound(&items[0], at, clipped[0], step)
}
