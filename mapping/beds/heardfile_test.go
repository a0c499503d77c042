package beds

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lapstrake/mapping/takes"
)

// A contributor without a name has one in the ledger, as everywhere, and none when it is read again.
func TestUnnamedContributorInTheLedger(t *testing.T) {
	path := filepath.Join(t.TempDir(), "heard.csv")
	report := &BuildReport{Heard: []TakeHeard{{Path: "bell.wav", Beds: []BedHeard{{Bed: "soft-a-k036.wav"}}}}}
	if err := saveHeard(path, report); err != nil {
		t.Fatal(err)
	}
	if text, err := os.ReadFile(path); err != nil ||
		!strings.Contains(string(text), "\nbell.wav,"+takes.Unnamed+",,,soft-a-k036.wav,") {
		t.Errorf("found %q, error %v", text, err)
	}
	if all, err := ReadHeard(path); err != nil || len(all) != 1 || all[0].Contributor != "" {
		t.Errorf("read again: %+v, error %v", all, err)
	}
}
