// The worst blocks beside those of a client in plain C that is busy for the same share of a block, in turns on one
// server.

//go:build linux && cgo

package main

import (
	"fmt"
	"os"
	"strconv"
	"testing"

	"lapstrake/engine"
	"lapstrake/mapping"
)

// TestBlockPeers measures only where LAPSTRAKE_BLOCK_PEERS is set. 256 voices sound at 64 frames for ten
// seconds, then the C client is as busy. On a loaded machine only the ratios within one run tell anything.
func TestBlockPeers(t *testing.T) {
	if os.Getenv("LAPSTRAKE_BLOCK_PEERS") == "" {
		return
	}
	requireJACK(t)
	const lowest, highest, rounds, heldSec = 21, 84, 3, 10 // 64 keys of four cycles
	project := toneProject(t, lowest, highest, 3, func(m *mapping.Map) { m.HeadroomDB = 30 })
	s := startJACK(t, engine.CellFrames)
	client := builtFromC(t, "jackbusy.c", "jack")
	var events []engine.Event
	for key := lowest; key <= highest; key++ {
		events = append(events, engine.NoteOn(int64(seconds(0.2)), 0, byte(key), 100))
	}
	for range rounds {
		late := s.late()
		player := s.play(project, "--block", strconv.Itoa(engine.CellFrames))
		s.send(midiIn, events)
		s.record(heldSec, append(outputs, "jacksend:click")...).finished()
		report := player.interrupt()
		t.Logf("player:   %2d %% of a block in the median, %3d %% in the worst thousandth, %d voices, %d late periods",
			report.Load, report.WorstLoad, report.Voices, s.late()-late)
		if report.Misses > 0 {
			t.Errorf("%d frames came late", report.Misses)
		}
		late = s.late()
		busy := launch(t, s.env, "", client, strconv.Itoa(report.Load), strconv.Itoa(heldSec))
		<-busy.ended
		var median, worst float64
		if _, err := fmt.Sscan(busy.out.String(), &median, &worst); err != nil {
			t.Fatalf("the C client says %q, %v", &busy.out, err)
		}
		t.Logf("C client: %2.0f %% of a block in the median, %3.0f %% in the worst thousandth, %d late periods",
			median, worst, s.late()-late)
	}
}
