// What play prints when it ends.

package main

import (
	"encoding/json"
	"fmt"

	"lapstrake/engine/live"
	"lapstrake/engine/live/output"
)

// playReport is what a run of play came to.
type playReport struct {
	Device      string   `json:"device"`
	RateHz      int      `json:"rate_hz"`
	BlockFrames int      `json:"block_frames"`
	LatencyMS   float64  `json:"latency_ms"`
	Seconds     float64  `json:"seconds"`
	PeakDBFS    float64  `json:"peak_dbfs"`
	ReductionDB float64  `json:"ceiling_reduction_db"` // the most that the ceiling took off
	Voices      int      `json:"voices"`
	Underruns   int64    `json:"underruns"`
	Misses      int64    `json:"misses"`
	ReadErrors  int64    `json:"read_errors"` // pieces of beds that could not be read
	Stolen      int64    `json:"stolen_notes"`
	Refused     int64    `json:"refused_notes"` // that found no room
	Load        int      `json:"load_percent"`
	WorstLoad   int      `json:"worst_load_percent"`
	Events      int64    `json:"events"`
	MIDIDelayMS float64  `json:"midi_delay_ms"` // from a key's message to its frame
	LateEvents  int64    `json:"late_events"`
	LostEvents  int64    `json:"lost_events"`
	Reloads     int64    `json:"reloads"`
	Dropped     int64    `json:"dropped_frames"`
	Recordings  []string `json:"recordings"`
}

func (p *playing) report(sound *output.Output, f live.Figures, underruns int64, recordings []string) error {
	load, worstLoad := p.player.WholeLoad()
	r := playReport{
		Device: sound.Device.String(), RateHz: sound.RateHz, BlockFrames: sound.BlockFrames,
		LatencyMS: sound.Latency.Seconds() * 1000,
		Seconds:   f.Seconds, PeakDBFS: p.player.LargestDBFS(), ReductionDB: f.MostReductionDB, Voices: p.most,
		Underruns: underruns, Misses: f.Misses, ReadErrors: f.ReadErrors,
		Stolen: f.Stolen, Refused: f.Refused,
		Load: load, WorstLoad: worstLoad, Events: f.Events,
		MIDIDelayMS: float64(p.arrivals.DelayFrames()) / float64(sound.RateHz) * 1000, LateEvents: p.arrivals.Late(),
		LostEvents: p.arrivals.Dropped(),
		Reloads:    p.reloads.Load(), Dropped: f.Dropped, Recordings: recordings,
	}
	if p.options.json {
		return json.NewEncoder(p.out).Encode(r)
	}
	fmt.Fprintf(p.out, "played %s on %s, up to %d voices\n", minutes(r.Seconds), r.Device, r.Voices)
	fmt.Fprintf(p.out, "peak %.1f dBFS, up to %.1f dB taken off by the ceiling\n", r.PeakDBFS, r.ReductionDB)
	fmt.Fprintf(p.out, "%d underruns, %d late reads, %d read errors, load %d %%, %d %% in the worst thousandth\n",
		r.Underruns, r.Misses, r.ReadErrors, r.Load, r.WorstLoad)
	if r.Stolen+r.Refused > 0 {
		fmt.Fprintf(p.out, "%d notes cut short and %d not begun to stay within the map's polyphony\n",
			r.Stolen, r.Refused)
	}
	for _, path := range r.Recordings {
		fmt.Fprintln(p.out, path)
	}
	return nil
}
