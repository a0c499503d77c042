// The page of the whole player: what is played there is recorded.

//go:build linux && cgo

package main

import (
	"context"
	"encoding/json"
	"net/http"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/coder/websocket"

	"lapstrake/engine"
	"lapstrake/engine/check"
)

// A key that is struck through the page's socket sounds in the recording, and ends when the page is closed.
func TestPlayPageIsHeard(t *testing.T) {
	out := filepath.Join(t.TempDir(), "evening.wav")
	s := startJACK(t, longPeriodFrames)
	player := s.play(toneProject(t, 48, 60, 3, nil), "--page", "--record", out)
	conn := visitPage(t, player)
	go func() { // reads on, as a browser does
		for ctx := context.Background(); ; {
			if _, _, err := conn.Read(ctx); err != nil {
				return
			}
		}
	}()
	if err := conn.Write(t.Context(), websocket.MessageText,
		[]byte(`{"do":"note","key":52,"velocity":100}`)); err != nil {
		t.Fatal(err)
	}
	player.recordsOn(out, 0.5)
	conn.CloseNow()
	player.recordsOn(out, 0.5)
	report := player.interrupt()
	score, err := engine.ReadScore(strings.TrimSuffix(out, ".wav")+".mid", testRateHz)
	if err != nil {
		t.Fatal(err)
	}
	on, off := int64(-1), int64(-1)
	for _, event := range score.Events {
		switch {
		case event.Kind() == engine.KindNoteOn && event.Data1 == 52 && event.Data2 == 100:
			on = event.Frame
		case event.Kind() == engine.KindNoteOff && event.Data1 == 52:
			off = event.Frame
		}
	}
	if on < 0 || off < on+int64(seconds(0.4)) {
		t.Errorf("key 52 was struck at frame %d and let go at %d", on, off)
	}
	if report.PeakDBFS < -60 || report.Voices < 4 {
		t.Errorf("peak %.1f dBFS with %d voices: nothing was heard", report.PeakDBFS, report.Voices)
	}
}

// visitPage opens a socket to the page of a player, as a browser does.
func visitPage(t *testing.T, player *process) *websocket.Conn {
	t.Helper()
	found := regexp.MustCompile(`the page: (http://(127\.0\.0\.1:\d+)/\?token=[0-9a-f]{32})`).FindStringSubmatch(
		player.notices.String())
	if found == nil {
		t.Fatalf("no address:\n%s", &player.notices)
	}
	response, err := http.Get(found[1])
	if err != nil {
		t.Fatal(err)
	}
	response.Body.Close()
	if response.StatusCode != http.StatusOK || len(response.Cookies()) != 1 {
		t.Fatalf("%s, %d cookies", response.Status, len(response.Cookies()))
	}
	cookie := response.Cookies()[0]
	conn, _, err := websocket.Dial(t.Context(), "ws://"+found[2]+"/socket", &websocket.DialOptions{
		HTTPHeader: http.Header{"Cookie": {cookie.Name + "=" + cookie.Value}, "Origin": {"http://" + found[2]}},
	})
	if err != nil {
		t.Fatal(err)
	}
	conn.SetReadLimit(1 << 20)
	return conn
}

// What the page asks for is checked by a process of its own while the player plays on, and told when it is there.
func TestPlayPageChecks(t *testing.T) {
	s := startJACK(t, longPeriodFrames)
	dir := toneProject(t, 48, 60, 3, nil)
	player := s.play(dir, "--page", "--chord", "48,55")
	conn := visitPage(t, player)
	if err := conn.Write(t.Context(), websocket.MessageText, []byte(`{"do":"check"}`)); err != nil {
		t.Fatal(err)
	}
	percents := 0
	for {
		kind, body, err := conn.Read(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		var told struct {
			Told string
			What struct {
				Never   bool
				Percent int
				Failed  string
				Parts   []struct{ Name string }
			}
		}
		if kind != websocket.MessageText || json.Unmarshal(body, &told) != nil {
			continue
		}
		switch {
		case told.Told == "checking" && told.What.Failed != "":
			t.Fatal(told.What.Failed)
		case told.Told == "checking" && told.What.Percent > 0:
			percents++
		case told.Told == "checked" && !told.What.Never:
			if len(told.What.Parts) != len(check.Names()) || percents == 0 {
				t.Errorf("%d checks are told, want %d; how far they are was told %d times", len(told.What.Parts),
					len(check.Names()), percents)
			}
			if report := player.interrupt(); report.Voices < 8 || report.PeakDBFS < -60 {
				t.Errorf("%d voices, peak %.1f dBFS: the chord has not sounded on", report.Voices, report.PeakDBFS)
			}
			return
		}
	}
}
