package beds

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping/beds/arrange"
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

// What a take was brought out by is read as it was written.
func TestBellsInTheLedger(t *testing.T) {
	path := filepath.Join(t.TempDir(), "heard.csv")
	bells := []arrange.Bell{{Hz: 820, DB: 4}, {Hz: 2310, DB: 2.5}}
	report := &BuildReport{Heard: []TakeHeard{{Path: "bell.wav", Beds: []BedHeard{
		{Bed: "soft-a-k036.wav", Bells: bells}, {Bed: "soft-b-k036.wav"},
	}}}}
	if err := saveHeard(path, report); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(path)
	if err != nil || !strings.Contains(string(text), ",820 Hz by 4.0; 2310 Hz by 2.5,") {
		t.Errorf("found %q, error %v", text, err)
	}
	all, err := ReadHeard(path)
	if err != nil || !slices.Equal(all[0].Beds[0].Bells, bells) || all[0].Beds[1].Bells != nil {
		t.Errorf("read again: %+v, error %v", all, err)
	}
	broken := strings.Replace(string(text), "820 Hz by", "820 hertz and", 1)
	if err := os.WriteFile(path, []byte(broken), 0o666); err != nil {
		t.Fatal(err)
	}
	const want = "heard.csv: row 2: column brought_out: "
	if _, err := ReadHeard(path); err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("bells that cannot be read: %v", err)
	}
}
