// A score that can be read at any moment while it is being written.

package engine

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"os"
)

// ScoreRecording writes a score for as long as the performance goes on, as WriteScore would. Whatever happens to the
// program or to the power, any reader finds all that had been appended. It is not safe for concurrent use.
type ScoreRecording struct {
	file   *os.File
	rateHz int
	bytes  int64 // in the file, of one track that reaches to its end
	frame  int64 // where the track ends
	said   *octaves
	maps   []PlayedMap // that go to the disk with the next events
}

// What stands at which byte of a score: a header of 14 bytes, the type and the length of the one track, its tempo.
const (
	trackLengthByte = 14 + 4
	trackByte       = trackLengthByte + 4
	firstEventByte  = trackByte + 7
)

// emptyText is the kind of a meta event (RP-001) that, without a letter, says nothing.
const emptyText = 0x01

// RecordScore starts a score at path. It overwrites nothing: a file of that name is an error that wraps fs.ErrExist.
func RecordScore(path string, rateHz int) (*ScoreRecording, error) {
	var empty bytes.Buffer
	if err := WriteScore(&empty, Score{}, rateHz); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return nil, err
	}
	if _, err := file.Write(empty.Bytes()); err != nil {
		file.Close()
		os.Remove(path)
		return nil, err
	}
	return &ScoreRecording{file: file, rateHz: rateHz, bytes: int64(empty.Len()), said: newOctaves()}, nil
}

// Play keeps a map that turns among the events to come are about: it goes to the disk with them.
func (s *ScoreRecording) Play(m PlayedMap) { s.maps = append(s.maps, m) }

// Append puts events behind those before, in the order of their frames, none before the last end nor after the new
// one. Markers up to the new end go with them; one from before the last end stands there. It goes to the disk. After
// an error the score is what it was before.
func (s *ScoreRecording) Append(events []Event, markers []Marker, endFrame int64) error {
	moved := make([]Event, len(events))
	for i, event := range events {
		event.Frame -= s.frame
		moved[i] = event
	}
	movedMarkers := make([]Marker, len(markers))
	for i, marker := range markers {
		movedMarkers[i] = Marker{max(marker.Frame-s.frame, 0), marker.Text}
	}
	var more bytes.Buffer
	if err := writeScore(&more, Score{moved, endFrame - s.frame, movedMarkers, s.maps}, s.rateHz, s.said); err != nil {
		return err
	}
	tail := more.Bytes()[firstEventByte:]
	bytesThen := s.bytes + int64(len(tail))
	if bytesThen > maxScoreBytes {
		return fmt.Errorf("%s: found more than the %d bytes that a score is read of; record the rest of the "+
			"performance anew", s.file.Name(), maxScoreBytes)
	}
	// A reader finds the old end until the last step: what lies behind the track is passed over, and so is what lies
	// behind the end in the track.
	if _, err := s.file.WriteAt(tail, s.bytes); err != nil {
		return err
	}
	if err := s.file.Sync(); err != nil {
		return err
	}
	length := binary.BigEndian.AppendUint32(nil, uint32(bytesThen-trackByte))
	if _, err := s.file.WriteAt(length, trackLengthByte); err != nil {
		return err
	}
	if _, err := s.file.WriteAt([]byte{emptyText}, s.bytes-2); err != nil { // the kind of the old end
		return err
	}
	s.bytes, s.frame, s.maps = bytesThen, endFrame, nil
	return nil
}

// Close closes the file.
func (s *ScoreRecording) Close() error { return cmp.Or(s.file.Sync(), s.file.Close()) }

// Discard leaves nothing of the file, for a recording that is not to begin after all.
func (s *ScoreRecording) Discard() {
	s.file.Close() // before the removal: Windows removes no open file
	os.Remove(s.file.Name())
}
