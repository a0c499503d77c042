// What ffmpeg says of a file: complaints, and how long the file claims to be.

package decode

import (
	"strconv"
	"strings"
	"sync"
)

// declaredSlackSec is how much shorter than its container says a whole sound may be: a block of a lossy codec, and
// the hundredths of a second that ffmpeg rounds to.
const declaredSlackSec = 0.1

// ffmpegWords keeps the beginning of what ffmpeg says, which may go on for ever. Each line stands behind its level in
// brackets. It may be asked while ffmpeg speaks.
type ffmpegWords struct {
	lock sync.Mutex
	said []byte
}

func (w *ffmpegWords) Write(p []byte) (int, error) {
	const most = 64 << 10
	w.lock.Lock()
	defer w.lock.Unlock()
	w.said = append(w.said, p[:min(len(p), most-min(most, len(w.said)))]...)
	return len(p), nil
}

func (w *ffmpegWords) text() string {
	w.lock.Lock()
	defer w.lock.Unlock()
	return string(w.said)
}

// complaint is the first line that is worse than a warning, or that tells of a packet cut short; "" for none.
func (w *ffmpegWords) complaint() string {
	for line := range strings.Lines(w.text()) {
		line = strings.TrimSpace(line)
		for _, level := range []string{"[error] ", "[fatal] ", "[panic] "} {
			if before, text, found := strings.Cut(line, level); found {
				return before + text
			}
		}
		if before, text, found := strings.Cut(line, "[warning] "); found && strings.Contains(strings.ToLower(text),
			"corrupt") {
			return before + text
		}
	}
	return ""
}

// declaredSec is the length that the container states; 0 where it states none, or ffmpeg guesses it.
func (w *ffmpegWords) declaredSec() float64 {
	text := w.text()
	if strings.Contains(text, "Estimating duration from bitrate") {
		return 0
	}
	_, after, found := strings.Cut(text, "Duration: ")
	clock, _, _ := strings.Cut(after, ",")
	parts := strings.Split(clock, ":")
	if !found || len(parts) != 3 {
		return 0
	}
	hours, hoursErr := strconv.ParseFloat(parts[0], 64)
	minutes, minutesErr := strconv.ParseFloat(parts[1], 64)
	seconds, secondsErr := strconv.ParseFloat(parts[2], 64)
	if hoursErr != nil || minutesErr != nil || secondsErr != nil {
		return 0
	}
	return 3600*hours + 60*minutes + seconds
}
