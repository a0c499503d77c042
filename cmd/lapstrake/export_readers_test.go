// Exports in the hands of other programs.

//go:build linux && cgo

package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"lapstrake/engine"
)

// requireReaders leaves a test out where the programs that read exports are missing, unless LAPSTRAKE_READERS=required
// says that they have to be there.
func requireReaders(t testing.TB) {
	t.Helper()
	requireTools(t, "LAPSTRAKE_READERS", "a JDK (default-jdk-headless), libsndfile1-dev and gcc", "sndfile.h",
		"java", "javac", "gcc")
}

// runs calls the program with words that have to do.
func runs(t testing.TB, words ...string) string {
	t.Helper()
	var out, notices bytes.Buffer
	if code := run(words, streams{&out, &notices}); code != exitDone {
		t.Fatalf("lapstrake %s: exit code %d\n%s%s", strings.Join(words, " "), code, &out, &notices)
	}
	return out.String()
}

// performanceOf is a score and how the bank and the player sound it.
type performanceOf struct{ score, bank, player string }

// The JDK tells of a bank's regions through classes that it keeps to itself.
const addExports, soundInternals = "--add-exports", "java.desktop/com.sun.media.sound=ALL-UNNAMED"

// playBoth has the JDK's synthesizer play scores on a project's bank, and the player render the same files. It returns
// what the JDK says of the bank.
func playBoth(t testing.TB, project string, scores ...[]engine.Event) (told string, sounds []performanceOf) {
	t.Helper()
	requireReaders(t)
	dir := t.TempDir()
	out := filepath.Join(dir, "out")
	runs(t, "export", project, "-o", out, "--parts", "bank")
	classes := builtFrom(t, "PlayBank.java", func(source, path string) []string {
		return []string{"javac", addExports, soundInternals, "-d", path, source}
	})
	words := []string{"-XX:+UseSerialGC", addExports, soundInternals, "-cp", classes, "PlayBank",
		filepath.Join(out, "bank.dls")}
	for i, events := range scores {
		p := performanceOf{filepath.Join(dir, fmt.Sprintf("%d.mid", i)),
			filepath.Join(dir, fmt.Sprintf("bank%d.wav", i)), filepath.Join(dir, fmt.Sprintf("player%d.wav", i))}
		var score bytes.Buffer
		if err := engine.WriteScore(&score, engine.Score{Events: events,
			Frames: events[len(events)-1].Frame + int64(seconds(1))}, testRateHz); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(p.score, score.Bytes(), 0o666); err != nil {
			t.Fatal(err)
		}
		runs(t, "render", project, p.score, "-o", p.player, "--format", "float")
		words, sounds = append(words, p.score, p.bank), append(sounds, p)
	}
	said, err := exec.Command("java", words...).Output()
	if err != nil {
		t.Fatalf("the JDK does not play the bank: %v\n%s", err, said)
	}
	return string(said), sounds
}

// prepare selects a program and sets the volume full and the dynamics to a value.
func prepare(program, dynamics byte) []engine.Event {
	return []engine.Event{
		{Status: engine.KindProgram, Data1: program},
		engine.Control(0, 0, 7, 127), engine.Control(0, 0, 11, 127), engine.Control(0, 0, 1, dynamics),
	}
}

// later moves events on.
func later(frames int64, events []engine.Event) []engine.Event {
	for i := range events {
		events[i].Frame += frames
	}
	return events
}
