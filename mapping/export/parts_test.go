// Whatever holds for one row of the table of parts holds for all.

package export

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping/wav"
)

// Each part can be exported alone: its files are where HOWTO.txt says, each cycle has a proof, the plan of space
// holds, and the export may be replaced by another.
func TestEachPartAlone(t *testing.T) {
	for _, p := range parts {
		j := yard(t, func(j *Job) { j.Parts = Parts{p.name} })
		laid, err := j.layOut()
		if err != nil {
			t.Fatal(err)
		}
		out, report := written(t, j)
		files := contents(t, out)
		soundBytes := int64(0)
		for name, data := range files {
			if p.mayHold(name) {
				soundBytes += int64(len(data))
			} else if name != checksumsFile && !slices.Contains(textFiles, name) {
				t.Errorf("%s: holds %s", p.name, name)
			}
		}
		if soundBytes == 0 || soundBytes > laid.neededBytes {
			t.Errorf("%s: its files have %d bytes, planned were %d", p.name, soundBytes, laid.neededBytes)
		}
		if !strings.Contains(files[howToFile], "\n  "+p.place) {
			t.Errorf("%s: %s is not among the contents of\n%s", p.name, p.place, files[howToFile])
		}
		proofs := len(laid.items)
		if p.name == Tried { // not of cycles
			proofs = 1
		}
		if len(report.Proofs) != proofs {
			t.Errorf("%s: %d proofs, want %d", p.name, len(report.Proofs), proofs)
		}
		if err := CheckTarget(out, t.TempDir(), j.Map, true); err != nil {
			t.Errorf("%s: its export cannot be replaced: %v", p.name, err)
		}
		if err := CheckTarget(out, t.TempDir(), j.Map, false); !errors.Is(err, ErrThere) {
			t.Errorf("%s: without leave to replace: %v", p.name, err)
		}
	}
}

// Each part finds a byte that was changed in the middle of its sound.
func TestEachProofFindsDamage(t *testing.T) {
	for _, p := range parts {
		j := yard(t, func(j *Job) { j.Parts = Parts{p.name} })
		out, _ := written(t, j)
		files, err := p.files(j, itemsOf(t, j))
		if err != nil {
			t.Fatal(err)
		}
		f := files[len(files)-1] // of sound
		at := fileAt{out, f.name}
		clipped := make([]int64, max(len(f.items), 1))
		if _, err := p.prove(j, f.items, at, clipped, noStep); err != nil {
			t.Errorf("%s undamaged: %v", p.name, err)
		}
		data, err := os.ReadFile(at.path())
		if err != nil {
			t.Fatal(err)
		}
		broken := bytes.Clone(data)
		for k := range 6 { // some sample's highest byte is among them
			broken[len(data)/2+k] ^= 0x40
		}
		if err := os.WriteFile(at.path(), broken, 0o666); err != nil {
			t.Fatal(err)
		}
		if _, err := p.prove(j, f.items, at, clipped, noStep); err == nil {
			t.Errorf("%s: damage in the middle of %s goes unnoticed", p.name, f.name)
		}
	}
}

// An export of parts that are not in the table, of none, or of one that cannot hold its samples is refused before
// anything is written.
func TestRefusedParts(t *testing.T) {
	for says, change := range map[string]func(*Job){
		`"tape": expected some of wav, aiff, flac, bank, rmid, proof`: func(j *Job) {
			j.Parts = Parts{WAV,
				"tape"}
		},
		"nothing named: expected some of wav, aiff, flac, bank, rmid, proof": func(j *Job) { j.Parts = nil },
		"aiff: holds no floats": func(j *Job) { j.Parts, j.Format = Parts{WAV, AIFF}, wav.Float },
	} {
		dir := t.TempDir()
		_, err := yard(t, change).Write(context.Background(), filepath.Join(dir, "out"), false)
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%v, want %q", err, says)
		}
		if left := contents(t, dir); len(left) > 0 {
			t.Errorf("%s: %d files are left", says, len(left))
		}
	}
	if read, err := ParseParts([]string{" bank", "wav "}); err != nil || !slices.Equal(read, Parts{Bank, WAV}) {
		t.Errorf("%v, %v", read, err)
	}
}
