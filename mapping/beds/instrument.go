// A map's beds as the ledger listens to them.

package beds

import (
	"os"
	"path/filepath"

	"lapstrake/mapping"
	"lapstrake/mapping/ledger"
	"lapstrake/mapping/wav"
)

// Instrument is the map m of the project in dir with what stems tell of its beds. Beds of which nobody kept what their
// takes excite are silent in it.
func Instrument(dir string, m *mapping.Map, stems []Stems) (*ledger.Instrument, error) {
	in := &ledger.Instrument{Map: m, Beds: map[string]ledger.Bed{}}
	for i := range stems {
		bed := ledger.Bed{Sec: m.BedSec, Courses: stems[i].Courses}
		if bed.Courses != nil {
			bed.Contributors = []string{}
			for _, row := range stems[i].Rows {
				bed.Contributors = append(bed.Contributors, row.Contributor)
			}
		}
		if bed.Sec == 0 {
			var err error
			if bed.Sec, err = bedSec(dir, stems[i].Bed); err != nil {
				return nil, err
			}
		}
		in.Beds[stems[i].Bed] = bed
	}
	return in, nil
}

// bedSec is how long a bed is.
func bedSec(dir, path string) (float64, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return 0, err
	}
	defer root.Close()
	file, err := root.Open(filepath.FromSlash(path))
	if err != nil {
		return 0, err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return 0, err
	}
	read, err := wav.ReadInfo(file, info.Size(), path)
	return float64(read.Frames) / float64(max(read.RateHz, 1)), err
}
