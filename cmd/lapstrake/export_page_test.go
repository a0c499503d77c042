// The page that an export holds, opened as a file in Chromium, plays what the player plays.

//go:build linux && cgo

package main

import (
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"lapstrake/engine/testbrowser"
	"lapstrake/mapping"
	"lapstrake/mapping/wav"
)

// performOnPage has the page play a score into a buffer, and returns both sides.
func performOnPage(t *testing.T, page string, score []playedMessage, frames, rateHz int) (sides [2][]float64) {
	t.Helper()
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
	})()`, text, frames, rateHz), chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	for side := range sides {
		data, err := base64.StdEncoding.DecodeString(played[side])
		if err != nil {
			t.Fatal(err)
		}
		for ; len(data) >= 4; data = data[4:] {
			sides[side] = append(sides[side], float64(math.Float32frombits(binary.LittleEndian.Uint32(data))))
		}
	}
	return sides
}

func TestPageOfExportPlaysAsThePlayer(t *testing.T) {
	t.Parallel()
	yard, err := smallYard()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	out, scorePath, playedPath := filepath.Join(dir, "out"), filepath.Join(dir, "score.mid"),
		filepath.Join(dir, "played.wav")
	runs(t, "export", yard, "-o", out, "--parts", "page")
	m, err := mapping.Load(filepath.Join(yard, mapping.FileName))
	if err != nil {
		t.Fatal(err)
	}
	score, frames := triedScore(t, m.RateHz, scorePath)
	runs(t, "render", yard, scorePath, "-o", playedPath, "--format", "float", "--quality", "best")
	file, err := wav.Open(playedPath)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	sounds := make([]float32, 2*frames)
	if err := file.ReadStereo(sounds, 0); err != nil {
		t.Fatal(err)
	}
	const latency = 82
	sides := performOnPage(t, filepath.Join(out, "page", "index.html"), score, frames+latency, m.RateHz)
	left, whole := 0.0, 0.0
	for k, sample := range sounds {
		whole += float64(sample) * float64(sample)
		left += math.Pow(sides[k%2][k/2+latency]-float64(sample), 2)
	}
	nullDB := 10 * math.Log10(left/whole)
	t.Logf("null: %.1f dB", nullDB)
	if !(nullDB <= -60) {
		t.Errorf("the page plays a sound that differs by %.1f dB from the player's, want −60 at most", nullDB)
	}
}
