// The report of the last run, kept to compare the next one with.

package check

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"lapstrake/mapping/project"
	"lapstrake/mapping/whole"
)

const lastReport = "report.json"

// KeepReport keeps a report as the last one of the project in dir. A folder that cannot be written to keeps none.
func KeepReport(dir string, report *Report) {
	data, err := json.Marshal(report)
	folder := filepath.Join(dir, project.CheckedFolder)
	if err == nil && os.MkdirAll(folder, 0o777) == nil {
		report.keepShown(folder)
		whole.Write(filepath.Join(folder, lastReport), data)
	}
}

// LastReport reads the report of the last run in dir.
func LastReport(dir string) (*Report, error) {
	report, err := ReadReport(filepath.Join(dir, project.CheckedFolder, lastReport))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: was never checked before: run check first, then change something, and check again",
			dir)
	}
	return report, err
}

// ReadReport reads a report that was written as JSON.
func ReadReport(path string) (*Report, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	report := &Report{}
	if err := json.Unmarshal(data, report); err != nil || len(report.Parts) == 0 {
		return nil, fmt.Errorf("%s: is no report of check: expected what `lapstrake check DIR --json` prints", path)
	}
	return report, nil
}
