// The maps of a performance, kept in its score.

package engine

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"maps"
)

// PlayedMap is a map that a performance was played on. A score may tell of one several times: what comes later adds.
type PlayedMap struct {
	Number int    `json:"map"`    // as KindMap has it; 0 the first
	Loaded int    `json:"loaded"` // as Opened has it, and Sound
	Sound  int    `json:"sound"`
	Path   string `json:"path,omitempty"` // of its file, from the folder of the first one
	Text   string `json:"text,omitempty"` // of its file, at the rate of the performance
	Voices int    `json:"voices,omitempty"`
	// beds in whose places others sounded, which the score does not keep
	Instead []string          `json:"instead,omitempty"`
	Beds    map[string]string `json:"sha256,omitempty"` // by the path in the map; "" for one that was replaced unread
}

var playedMark = []byte("\x7dlapstrake map ")

// mostMapBytes bounds what is unpacked of all maps of a track: an hour of reloads each second.
const mostMapBytes = 64 << 20

// encode makes the data of a meta event for one sequencer (RP-001).
func (m PlayedMap) encode() ([]byte, error) {
	var data bytes.Buffer
	data.Write(playedMark)
	packed := gzip.NewWriter(&data)
	if err := json.NewEncoder(packed).Encode(m); err != nil {
		return nil, err
	}
	err := packed.Close()
	return data.Bytes(), err
}

// readPlayed reads what encode wrote, of at most so many bytes, and takes those off. Data of others is no map, and no
// error.
func readPlayed(body []byte, leftBytes *int64) (m PlayedMap, is bool, err error) {
	packed, is := bytes.CutPrefix(body, playedMark)
	if !is {
		return m, false, nil
	}
	unpacked, err := gzip.NewReader(bytes.NewReader(packed))
	if err == nil {
		limited := &io.LimitedReader{R: unpacked, N: *leftBytes}
		err = json.NewDecoder(limited).Decode(&m)
		*leftBytes = limited.N
	}
	if err != nil {
		return m, true, fmt.Errorf("a map that the performance was played on: %w", err)
	}
	return m, true, nil
}

// MapsPlayed joins what a score tells of its maps, by their numbers.
func (s *Score) MapsPlayed() map[int]PlayedMap {
	played := map[int]PlayedMap{}
	for _, m := range s.Maps {
		if before, told := played[m.Number]; told {
			if m.Text != "" {
				before, m = m, before
			}
			beds := maps.Clone(m.Beds)
			m = before
			if m.Beds == nil {
				m.Beds = beds
			} else {
				m.Beds = maps.Clone(m.Beds)
				maps.Copy(m.Beds, beds)
			}
		}
		played[m.Number] = m
	}
	return played
}

// ChangesMaps says whether more than one map was played.
func (s *Score) ChangesMaps() bool {
	for _, event := range s.Events {
		if event.Status == KindMap {
			return true
		}
	}
	return false
}
