// Writes a score as a Standard MIDI File of which a tick is a frame.

package engine

import (
	"fmt"
	"io"

	"gitlab.com/gomidi/midi/v2/smf"
)

const (
	maxDivision = 1<<15 - 1 // ticks a quarter note, RP-001
	maxDelta    = 1<<28 - 1 // ticks between two events: what four bytes of a variable-length quantity hold

	maxScoreFrames    = 1 << 45 // decades
	maxQuartersPerSec = 1000    // enough for every rate below 32 MHz that any number would do for
)

// WriteScore writes a score as a Standard MIDI File of format 0 (RP-001) in which one tick is one frame at
// rateHz, so that ParseScore at that rate gives back the same events at the same frames and the same end.
// Of an octave's tuning, each event is written as a message of all twelve classes, as they stand then.
// The events are in the order of their frames and none lies after score.Frames. It fails,
// and writes nothing, if one does, if no division of a quarter note makes a tick a frame at that rate, or if the file
// would be longer than ParseScore reads.
func WriteScore(w io.Writer, score Score, rateHz int) error {
	return writeScore(w, score, rateHz, newOctaves())
}

// writeScore goes on from what octave messages have said before.
func writeScore(w io.Writer, score Score, rateHz int, said *octaves) error {
	division, microsPerQuarter, err := frameTicks(rateHz)
	if err != nil {
		return err
	}
	track, err := trackOf(score, microsPerQuarter, said)
	if err != nil {
		return err
	}
	file := smf.New()
	file.TimeFormat = smf.MetricTicks(division)
	file.NoRunningStatus = true // a byte more an event, and nothing for a reader to get wrong
	if err := file.Add(track); err != nil {
		return err
	}
	// Into memory first: the library's own writing to w loses its errors.
	data, err := file.Bytes()
	if err != nil {
		return err
	}
	if len(data) > maxScoreBytes {
		return fmt.Errorf("found a score of %d events, which make %d bytes, expected at most the %d that a score is "+
			"read of; write it in parts", len(score.Events), len(data), maxScoreBytes)
	}
	_, err = w.Write(data)
	return err
}

// CheckScoreRate says beforehand whether WriteScore can make a tick a frame.
func CheckScoreRate(rateHz int) error {
	_, _, err := frameTicks(rateHz)
	return err
}

// frameTicks is a division and a tempo of which a tick lasts a frame. A quarter note lasts 1/n s, of which
// both the frames and the microseconds must be whole numbers: 1/2 s at 48000 and 44100 Hz, 1/8 s at 192000.
func frameTicks(rateHz int) (division, microsPerQuarter int, err error) {
	const secMicros = 1_000_000
	for n := 1; n <= maxQuartersPerSec && rateHz > 0; n++ {
		if rateHz%n == 0 && secMicros%n == 0 && rateHz/n <= maxDivision {
			return rateHz / n, secMicros / n, nil
		}
	}
	return 0, 0, fmt.Errorf("found a rate of %d Hz, expected one of which a frame can be a tick of a Standard MIDI "+
		"File; choose a usual one, such as 48000", rateHz)
}

// frameTrack is a track that grows, and how far it has come.
type frameTrack struct {
	track smf.Track
	at    int64 // frame
}

// add puts a message at a frame. Of a longer wait than a delta time can say, texts without a letter take
// the first part.
func (t *frameTrack) add(frame int64, message []byte) {
	for ; frame-t.at > maxDelta; t.at += maxDelta {
		t.track = append(t.track, smf.Event{Delta: maxDelta, Message: smf.MetaText("")})
	}
	t.track = append(t.track, smf.Event{Delta: uint32(frame - t.at), Message: message})
	t.at = frame
}

// trackOf makes the track of a score: the tempo, the events and the end.
func trackOf(score Score, microsPerQuarter int, said *octaves) (smf.Track, error) {
	if score.Frames < 0 || score.Frames > maxScoreFrames {
		return nil, fmt.Errorf("found an end at frame %d, expected 0 to %d; shorten the score", score.Frames,
			int64(maxScoreFrames))
	}
	t := frameTrack{track: make(smf.Track, 0, len(score.Events)+2)}
	t.add(0, smf.MetaTempo(60e6/float64(microsPerQuarter))) // whole beats a minute, as frameTicks chooses them
	for _, m := range score.Maps {
		data, err := m.encode()
		if err != nil {
			return nil, err
		}
		t.add(0, smf.MetaSequencerData(data))
	}
	messages := make([]byte, 0, 3*len(score.Events)) // of all events, rather than an allocation each
	markers := score.Markers
	for i, event := range score.Events {
		if err := checkEvent(event, t.at, score.Frames); err != nil {
			return nil, fmt.Errorf("event %d: %w", i+1, err)
		}
		markers = t.addMarkers(markers, event.Frame)
		if event.IsTurn() {
			t.add(event.Frame, smf.MetaSequencerData(appendTurn(nil, event)))
			continue
		}
		if !event.IsChannel() {
			t.add(event.Frame, said.appendMessage([]byte{systemExclusive}, event))
			continue
		}
		first := len(messages)
		messages = append(messages, event.Status, event.Data1)
		if event.DataBytes() == 2 {
			messages = append(messages, event.Data2)
		}
		t.add(event.Frame, messages[first:])
	}
	t.addMarkers(markers, score.Frames)
	t.add(score.Frames, smf.EOT)
	return t.track, nil
}

// addMarkers puts in the markers up to a frame, and gives the others.
func (t *frameTrack) addMarkers(markers []Marker, frame int64) []Marker {
	for ; len(markers) > 0 && markers[0].Frame <= frame; markers = markers[1:] {
		t.add(max(markers[0].Frame, t.at), smf.MetaMarker(markers[0].Text))
	}
	return markers
}

// checkEvent refuses what is no channel message in its place.
func checkEvent(event Event, earliest, end int64) error {
	isOther := event.Status == KindTuneKey || event.Status == KindTuneOctave || event.IsTurn()
	if !event.IsChannel() && !isOther || event.Data1 > 127 || event.Data2 > 127 {
		return fmt.Errorf("found the bytes % x, expected a channel message: a status of 80 to ef and data of 0 to 7f",
			[]byte{event.Status, event.Data1, event.Data2})
	}
	if event.Frame < earliest || event.Frame > end {
		return fmt.Errorf("found frame %d, expected %d to %d; put the events in the order of their frames and the "+
			"end after the last",
			event.Frame, earliest, end)
	}
	return nil
}
