package project

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"lapstrake/mapping"
)

func write(t *testing.T, dir, name, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

func text(t *testing.T, dir, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, name))
	if os.IsNotExist(err) {
		return "none"
	}
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func TestGoingBackAndForward(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, SheetFile, "take,use\nbell.wav,yes\n")
	if err := KeepState(dir, "intake"); err != nil {
		t.Fatal(err)
	}
	write(t, dir, SheetFile, "take,use\nbell.wav,no\n")
	write(t, dir, mapping.FileName, "a map")
	if err := GoBack(dir, 1); err != nil {
		t.Fatal(err)
	}
	if got := text(t, dir, SheetFile) + text(t, dir, mapping.FileName); got != "take,use\nbell.wav,yes\nnone" {
		t.Errorf("back at the first state: %q", got)
	}
	states, err := States(dir)
	if err != nil || len(states) != 3 || states[0].When != "after back" || states[1].When != "before back" ||
		states[1].Number != 2 {
		t.Fatalf("states %+v, %v; want the first, and those from before and after going back", states, err)
	}
	if err := GoBack(dir, 2); err != nil {
		t.Fatal(err)
	}
	if got := text(t, dir, SheetFile) + text(t, dir, mapping.FileName); got != "take,use\nbell.wav,no\na map" {
		t.Errorf("forward again: %q", got)
	}
	if err := GoBack(dir, 77); err == nil {
		t.Error("went back to a state that is none")
	}
}

func TestTheLastTenStatesAreKept(t *testing.T) {
	dir := t.TempDir()
	for i := range 16 {
		for _, changes := range []bool{true, false} { // what changes nothing leaves no state
			if err := KeepState(dir, "build"); err != nil {
				t.Fatal(err)
			}
			if changes {
				write(t, dir, SheetFile, fmt.Sprintf("take\n%d.wav\n", i))
			}
			if err := SettleStates(dir, "build"); err != nil {
				t.Fatal(err)
			}
		}
	}
	states, err := States(dir)
	if err != nil || len(states) != 11 || states[0].Number != 16 || states[10].Number != 6 {
		t.Fatalf("%d states, %v: %+v; want 6 to 15, and 16, the present", len(states), err, states)
	}
	if err := GoBack(dir, 6); err != nil { // the oldest, which the next state pushes out
		t.Fatal(err)
	}
	if got := text(t, dir, SheetFile); got != "take\n5.wav\n" {
		t.Errorf("back at state 6: %q", got)
	}
}

// What a person edits after a command can be undone, though no command changed it.
func TestEditsByHandCanBeUndone(t *testing.T) {
	dir := t.TempDir()
	step := func(command string, change func()) {
		t.Helper()
		if err := KeepState(dir, command); err != nil {
			t.Fatal(err)
		}
		change()
		if err := SettleStates(dir, command); err != nil {
			t.Fatal(err)
		}
	}
	step("intake", func() { write(t, dir, SheetFile, "take,use\nbell.wav,yes\n") })
	write(t, dir, SheetFile, "take,use\nbell.wav,no\n") // by hand
	step("build", func() {})
	states, err := States(dir)
	if err != nil || len(states) != 2 || states[1].When != "after intake" {
		t.Fatalf("states %+v, %v; want that after intake and that before build", states, err)
	}
	if err := GoBack(dir, states[1].Number); err != nil {
		t.Fatal(err)
	}
	if got := text(t, dir, SheetFile); got != "take,use\nbell.wav,yes\n" {
		t.Errorf("back before the edit: %q", got)
	}
}

func TestAnUnfinishedStateIsNone(t *testing.T) {
	dir := t.TempDir()
	if err := os.MkdirAll(filepath.Join(dir, statesFolder, "1"), 0o777); err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(dir, statesFolder, "1"), SheetFile, "half")
	if states, err := States(dir); err != nil || len(states) != 0 {
		t.Errorf("states %v, %v; want none", states, err)
	}
	write(t, dir, SheetFile, "take\n")
	if err := KeepState(dir, "intake"); err != nil {
		t.Fatal(err)
	}
	if states, _ := States(dir); len(states) != 1 {
		t.Errorf("states %v, want one", states)
	}
}
