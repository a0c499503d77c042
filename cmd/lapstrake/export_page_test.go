// The page that an export holds, opened as a file in Chromium, plays what the player plays.

//go:build linux && cgo

package main

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"lapstrake/engine"
	"lapstrake/engine/testbrowser"
	"lapstrake/mapping"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/wav"
)

// On real beds with a fade at seams, the page's sound is the player's within −60 dB, in every auditory band within
// 1 dB: while all loops end and begin again, in a tuning of 19 notes, and with pedals, velocities, starts by the
// presses of a key, and fewer voices than are played.
func TestPagePlaysAsThePlayer(t *testing.T) {
	t.Parallel()
	yard, err := smallYard()
	if err != nil {
		t.Fatal(err)
	}
	at := func(sec float64) int { return int(sec * 48000) }
	loops := []playedMessage{{0, 0x90, 50, 100}, {at(0.1), 0x90, 57, 60}, {at(0.4), 0xB0, 1, 20},
		{at(1), 0xB0, 1, 120}, {at(1.5), 0xE0, 12000, 0}, {at(2), 0xB0, 11, 90}, {at(3), 0xE0, 8192, 0},
		{at(3.2), 0x90, 67, 100},
		{at(3.22), 0x80, 67, 0}, {at(8), 0x80, 50, 0}, {at(8.5), 0x90, 57, 90}, {at(9), 0x80, 57, 0}}
	t.Run("loops", func(t *testing.T) { playsAlike(t, yard, loops, at(10)) })
	t.Run("tuned", func(t *testing.T) {
		playsAlike(t, inNineteenNotes(t, yard), loops[:6], at(3))
	})
	t.Run("pedals", func(t *testing.T) {
		few := copyOf(t, yard)
		path := filepath.Join(few, mapping.FileName)
		m, err := mapping.Load(path)
		if err != nil {
			t.Fatal(err)
		}
		m.Polyphony, m.VelocityAmount = 20, 0.5
		m.Stagger = mapping.Stagger{By: mapping.ByPress, Starts: []float64{0, 0.4, 0.7}}
		if err := m.Save(path); err != nil {
			t.Fatal(err)
		}
		playsAlike(t, few, []playedMessage{
			{0, 0xB0, 64, 127}, {0, 0x90, 50, 100}, {at(0.2), 0x80, 50, 0}, {at(0.3), 0x90, 62, 40},
			{at(0.5), 0x90, 50, 90},
			{at(0.6), 0x80, 50, 0}, {at(0.7), 0xB0, 64, 0}, {at(0.8), 0xB0, 66, 127}, {at(0.9), 0x80, 62, 0},
			{at(1), 0x90, 55, 100}, {at(1), 0x90, 57, 50}, {at(1), 0x90, 60, 80}, {at(1.1), 0x90, 64, 100},
			{at(1.2), 0x90, 67, 70}, {at(1.4), 0x90, 50, 100}, {at(1.5), 0xB0, 66, 0}, {at(1.6), 0xB0, 33, 64},
			{at(1.7), 0xB0, 1, 100},
			{at(1.9), 0xB0, 33, 100}, {at(2.1), 0xB0, 121, 0}, {at(2.3), 0xB0, 123, 0}, {at(2.4), 0x90, 52, 0},
			{at(2.5), 0x90, 52, 127}, {at(2.9), 0xB0, 120, 0}}, at(3))
	})
}

// copyOf is a copy of a project.
func copyOf(t *testing.T, yard string) string {
	t.Helper()
	copied := filepath.Join(t.TempDir(), "yard")
	if err := os.CopyFS(copied, os.DirFS(yard)); err != nil {
		t.Fatal(err)
	}
	return copied
}

// playsAlike holds the page of a project's export against the player.
func playsAlike(t *testing.T, yard string, score []playedMessage, frames int) {
	t.Helper()
	dir := t.TempDir()
	out := filepath.Join(dir, "out")
	runs(t, "export", yard, "-o", out, "--parts", "page")
	m, err := mapping.Load(filepath.Join(yard, mapping.FileName))
	if err != nil {
		t.Fatal(err)
	}
	want := rendered(t, yard, score, frames, m.RateHz)
	got := performed(t, filepath.Join(out, "page", "index.html"), score, frames, m.RateHz)
	left, whole, farthest, loudest := 0.0, 0.0, 0.0, 0.0
	for side := range want {
		for k, sample := range want[side] {
			away := float64(got[side][k]) - float64(sample)
			whole += float64(sample) * float64(sample)
			left += away * away
			loudest, farthest = max(loudest, math.Abs(float64(sample))), max(farthest, math.Abs(away))
		}
	}
	nullDB, clickDB := 10*math.Log10(left/whole), sound.AmplitudeDB(farthest/loudest)
	if !(nullDB <= -60) {
		t.Errorf("the page's sound differs by %.1f dB from the player's, want −60 at most", nullDB)
	}
	if !(clickDB <= -50) {
		t.Errorf("a sample of the page's lies %.1f dB from the player's, against its highest one; want −50 at most",
			clickDB)
	}
	mostDB := 0.0
	for side := range want {
		from, to := bandPowers(t, want[side], m.RateHz), bandPowers(t, got[side], m.RateHz)
		for band := range from {
			mostDB = max(mostDB, math.Abs(sound.PowerDB(to[band])-sound.PowerDB(from[band])))
		}
	}
	if !(mostDB <= 1) {
		t.Errorf("a band of the page's sound lies %.2f dB from the player's, want 1 at most", mostDB)
	}
	t.Logf("null %.1f dB, worst sample %.1f dB, bands within %.3f dB", nullDB, clickDB, mostDB)
}

// bandPowers are the mean powers in auditory bands.
func bandPowers(t *testing.T, side []float32, rateHz int) (powers []float64) {
	t.Helper()
	levels, err := sound.BandLevels(int64(len(side)), rateHz, func(samples []float32, from int64) error {
		copy(samples, side[from:])
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, band := range levels {
		sum := 0.0
		for _, levelDB := range band {
			sum += sound.DBToPower(levelDB)
		}
		powers = append(powers, sum/float64(len(band)))
	}
	return powers
}

// rendered is what the player plays of a score.
func rendered(t *testing.T, yard string, score []playedMessage, frames, rateHz int) (sides [2][]float32) {
	t.Helper()
	dir := t.TempDir()
	scorePath, playedPath := filepath.Join(dir, "score.mid"), filepath.Join(dir, "played.wav")
	var text bytes.Buffer
	if err := engine.WriteScore(&text, engine.Score{Events: eventsOf(score), Frames: int64(frames)},
		rateHz); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(scorePath, text.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	runs(t, "render", yard, scorePath, "-o", playedPath, "--format", "float", "--quality", "best")
	file, err := wav.Open(playedPath)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	stereo := make([]float32, 2*frames)
	if err := file.ReadStereo(stereo, 0); err != nil {
		t.Fatal(err)
	}
	for k, sample := range stereo {
		sides[k%2] = append(sides[k%2], sample)
	}
	return sides
}

// performed is what a page plays of a score; the frames by which its ceiling looks ahead are left out.
func performed(t *testing.T, page string, score []playedMessage, frames, rateHz int) (sides [2][]float32) {
	t.Helper()
	latency := engine.NewCeiling(rateHz, engine.CeilingDBTP).Latency()
	type message struct {
		Frame int   `json:"frame"`
		MIDI  []int `json:"midi"`
	}
	var messages []message
	for _, m := range score {
		one := message{m.frame, []int{m.kind, m.a, m.b}}
		if m.kind == 0xE0 {
			one.MIDI = []int{m.kind, m.a & 0x7F, m.a >> 7}
		}
		messages = append(messages, one)
	}
	text, err := json.Marshal(messages)
	if err != nil {
		t.Fatal(err)
	}
	tab := testbrowser.Open(t)
	if err := chromedp.Do(tab, chromedp.Navigate("file://"+page)); err != nil {
		t.Fatal(err)
	}
	played, err := chromedp.Run(tab, chromedp.Evaluate[[]string](fmt.Sprintf(`(async () => {
		const played = await lapstrake.perform(%s, %d, %d);
		return [0, 1].map((side) => {
			const bytes = new Uint8Array(played.getChannelData(side).buffer);
			let text = "";
			for (let i = 0; i < bytes.length; i += 32768) text += String.fromCharCode(...bytes.subarray(i, i + 32768));
			return btoa(text);
		});
	})()`, text, frames+latency, rateHz), chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	for side := range sides {
		sides[side] = make([]float32, frames+latency)
		data := base64.NewDecoder(base64.StdEncoding, strings.NewReader(played[side]))
		if err := binary.Read(data, binary.LittleEndian, sides[side]); err != nil {
			t.Fatal(err)
		}
		sides[side] = sides[side][latency:]
	}
	return sides
}
