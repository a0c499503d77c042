// The files that people and programs read beside the sound: key map, instructions, credits.

package export

import (
	"fmt"
	"path/filepath"

	"lapstrake/mapping/whole"
)

// texts writes them.
func (w *writer) texts() error {
	files := map[string][]byte{}
	var err error
	if len(w.folders()) > 0 {
		k := w.keyMap(w.laid.items, w.sums)
		files[keyMapSchema] = keyMapSchemaText
		if files[keyMapJSON], err = k.json(); err != nil {
			return fmt.Errorf("%s: %w", keyMapJSON, err)
		}
		if files[keyMapCSV], err = k.csv(); err != nil {
			return fmt.Errorf("%s: %w", keyMapCSV, err)
		}
	}
	if len(w.Map.Layers) > 1 {
		if files[dynamicsCSV], err = w.dynamics(); err != nil {
			return fmt.Errorf("%s: %w", dynamicsCSV, err)
		}
	}
	if w.Credits != nil {
		w.report.Takes, w.report.Names = len(w.Credits.Takes), append(w.report.Names, w.Credits.Names()...)
		files[creditsText] = w.Credits.Text(w.Title, w.Artist, w.Map.MiddleC)
		if files[creditsCSV], err = w.Credits.CSV(w.Map.MiddleC); err != nil {
			return fmt.Errorf("%s: %w", creditsCSV, err)
		}
	}
	if files[howToFile], err = w.howTo(); err != nil {
		return fmt.Errorf("%s: %w", howToFile, err)
	}
	for name, data := range files {
		if err := whole.Write(filepath.Join(w.dir, name), data); err != nil {
			return err
		}
	}
	return nil
}
