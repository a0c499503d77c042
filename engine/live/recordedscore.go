// The performance beside a recording: the events, written as far as the sound has come.

package live

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"lapstrake/engine"
)

// maxRecordedEvents make a score that is still read: seven bytes each at most, of 16 MiB. A hundred a second last for
// almost six hours.
const maxRecordedEvents = 2 << 20

// recordedScore grows by an event at a time. But for mark and played, it is not safe for concurrent use.
type recordedScore struct {
	path   string
	file   *engine.ScoreRecording
	events []engine.Event // that are not in the file yet
	count  int            // of all events
	most   int            // events that there is room for

	marking sync.Mutex
	markers []engine.Marker    // that are not in the file yet; under marking
	maps    []engine.PlayedMap // likewise
}

// newRecordedScore is the score beside the recording at soundPath, which must not be there yet.
func newRecordedScore(soundPath string, rateHz int) (*recordedScore, error) {
	extension := filepath.Ext(soundPath)
	if !strings.EqualFold(extension, ".wav") {
		return nil, fmt.Errorf("%s: found a name that ends in %q, expected .wav; name the recording "+
			"NAME.wav, and the performance is written beside it as NAME.mid", soundPath, extension)
	}
	path := strings.TrimSuffix(soundPath, extension) + ".mid"
	if err := engine.CheckScoreRate(rateHz); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if _, err := os.Lstat(path); err == nil {
		return nil, fmt.Errorf("%s: found that it is there already (%w), expected a name not yet in use; "+
			"choose another name for the recording, or move that file away: a recording overwrites nothing", path,
			fs.ErrExist)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%w; choose a folder that is there and readable", err)
	}
	return &recordedScore{path: path, most: maxRecordedEvents}, nil
}

// begin takes the name.
func (s *recordedScore) begin(rateHz int) (err error) {
	s.file, err = engine.RecordScore(s.path, rateHz)
	return err
}

// add takes in an event, in the order of their frames.
func (s *recordedScore) add(event engine.Event) error {
	if s.count == s.most {
		return fmt.Errorf("%s: found more than %d events, expected no more than a score is read of; the sound is "+
			"still being recorded: begin a new recording for the rest of the performance", s.path, s.most)
	}
	s.count++
	s.events = append(s.events, event)
	return nil
}

// write brings the file up to the events up to endFrame, if there are any. Events behind it have not been heard in the
// recording yet.
func (s *recordedScore) write(endFrame int64) error {
	heard, _ := slices.BinarySearchFunc(s.events, endFrame+1, func(event engine.Event, frame int64) int {
		return cmp.Compare(event.Frame, frame)
	})
	if heard == 0 && !s.waiting(endFrame) {
		return nil
	}
	return s.append(heard, endFrame)
}

// end completes the file, which ends at endFrame.
func (s *recordedScore) end(endFrame int64) error {
	wrong := s.write(endFrame)
	s.marking.Lock()
	for i := range s.markers { // of the last block, which the recording ends within
		s.markers[i].Frame = min(s.markers[i].Frame, endFrame)
	}
	s.marking.Unlock()
	if wrong == nil {
		wrong = s.append(0, endFrame)
	}
	return cmp.Or(wrong, s.file.Close())
}

// mark puts a marker into the file with what is written next. Any goroutine.
func (s *recordedScore) mark(marker engine.Marker) {
	s.marking.Lock()
	defer s.marking.Unlock()
	s.markers = append(s.markers, marker)
}

// played puts a map into the file with what is written next. Any goroutine.
func (s *recordedScore) played(m engine.PlayedMap) {
	s.marking.Lock()
	defer s.marking.Unlock()
	s.maps = append(s.maps, m)
}

// waiting says whether markers up to a frame, or maps, are to be written.
func (s *recordedScore) waiting(endFrame int64) bool {
	s.marking.Lock()
	defer s.marking.Unlock()
	return len(s.maps) > 0 || len(s.markers) > 0 && s.markers[0].Frame <= endFrame
}

func (s *recordedScore) append(heard int, endFrame int64) error {
	s.marking.Lock()
	defer s.marking.Unlock()
	marked := 0
	for marked < len(s.markers) && s.markers[marked].Frame <= endFrame {
		marked++
	}
	for _, m := range s.maps {
		s.file.Play(m)
	}
	s.maps = nil
	if err := s.file.Append(s.events[:heard], s.markers[:marked], endFrame); err != nil {
		return fmt.Errorf("%w; free some space on that disk, or choose another folder", err)
	}
	s.events, s.markers = slices.Delete(s.events, 0, heard), slices.Delete(s.markers, 0, marked)
	return nil
}
