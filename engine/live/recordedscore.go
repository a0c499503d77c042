// The performance beside a recording: the events so far, written as a score every few seconds.

package live

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"lapstrake/engine"
	"lapstrake/mapping/whole"
)

const (
	scoreEvery = 3 * time.Second // at the most often

	// maxRecordedEvents make a score that is still read: seven bytes each at most, of 16 MiB. In memory they are
	// 32 MB, without pointers; a hundred a second last for almost six hours.
	maxRecordedEvents = 2 << 20
)

// recordedScore grows by an event at a time. It is not safe for concurrent use.
type recordedScore struct {
	path    string
	rateHz  int
	events  []engine.Event // 16 bytes each
	most    int            // events that there is room for
	written int            // events in the file
	next    time.Time      // not written before
}

// newRecordedScore is the score beside the recording at soundPath, which must not be there yet.
func newRecordedScore(soundPath string, rateHz int) (recordedScore, error) {
	extension := filepath.Ext(soundPath)
	if !strings.EqualFold(extension, ".wav") {
		return recordedScore{}, fmt.Errorf("%s: found a name that ends in %q, expected .wav; name the recording "+
			"NAME.wav, and the performance is written beside it as NAME.mid", soundPath, extension)
	}
	path := strings.TrimSuffix(soundPath, extension) + ".mid"
	if err := engine.CheckScoreRate(rateHz); err != nil {
		return recordedScore{}, fmt.Errorf("%s: %w", path, err)
	}
	if _, err := os.Lstat(path); err == nil {
		return recordedScore{}, fmt.Errorf("%s: found that it is there already (%w), expected a name not yet in use; "+
			"choose another name for the recording, or move that file away: a recording overwrites nothing", path,
			fs.ErrExist)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return recordedScore{}, fmt.Errorf("%w; choose a folder that is there and readable", err)
	}
	return recordedScore{path: path, rateHz: rateHz, most: maxRecordedEvents}, nil
}

// add takes in an event, in the order of their frames.
func (s *recordedScore) add(event engine.Event) error {
	if len(s.events) == s.most {
		return fmt.Errorf("%s: found more than %d events, expected no more than a score is read of; the sound is "+
			"still being recorded: begin a new recording for the rest of the performance", s.path, s.most)
	}
	s.events = append(s.events, event)
	return nil
}

// due says whether there is something new and time has come to write it.
func (s *recordedScore) due() bool {
	return len(s.events) != s.written && !time.Now().Before(s.next)
}

// write replaces the file by the events up to endFrame, where the score ends. Events behind it have not been
// heard in the recording yet.
func (s *recordedScore) write(endFrame int64) error {
	began := time.Now()
	heard, _ := slices.BinarySearchFunc(s.events, endFrame+1, func(event engine.Event, frame int64) int {
		return cmp.Compare(event.Frame, frame)
	})
	s.written = heard
	var file bytes.Buffer
	err := engine.WriteScore(&file, engine.Score{Events: s.events[:heard], Frames: endFrame}, s.rateHz)
	if err != nil {
		err = fmt.Errorf("%s: %w", s.path, err)
	} else {
		err = whole.Write(s.path, file.Bytes())
	}
	// A long performance takes long to write: spend a hundredth of the time on it at most.
	s.next = began.Add(max(scoreEvery, 100*time.Since(began)))
	return err
}
