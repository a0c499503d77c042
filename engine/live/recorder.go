// Records what is played: the sound as a WAV, and the performance beside it as a score.

package live

import (
	"sync"
	"sync/atomic"
	"time"

	"lapstrake/engine"
	"lapstrake/mapping/wav"
)

const (
	recordRingSec = 8                      // a disk may stand still for so long
	takeEvery     = 100 * time.Millisecond // between two looks into the ring
	takeFrames    = 4096                   // at a time
)

// Recorder writes OUT.wav, 24-bit stereo, and OUT.mid, which renders to the same sound: frame 0 of both is
// the engine's. Both can be opened at any moment, with all but about the last second; so a recording outlives the
// program and the power. Neither replaces a file.
//
// When the disk is full or OUT.wav as long as a WAVE file gets, the recording ends: Err tells, both files are
// complete up to there, and playing goes on.
type Recorder struct {
	ring   *soundRing
	closed atomic.Bool // Add does nothing any more
	first  atomic.Pointer[error]

	closing sync.Once
	stop    chan struct{} // closed by Close
	done    chan struct{} // closed when both files are

	// The rest belongs to the goroutine that writes.
	applied   *engine.QueueOut
	sound     *wav.Recording
	soundPath string
	score     *recordedScore
	skip      int // frames still to leave out
	ended     bool
	taken     []float32
}

// NewRecorder begins a recording at path, which ends in .wav. The first skipFrames frames that are added are
// left out: the latency of the engine, so that events and sound agree. Applied gives the events
// with the frames at which they were applied; it is emptied all the time, by one goroutine, until Close. It fails if
// OUT.wav or OUT.mid is there already (the error wraps fs.ErrExist) or cannot be written, and leaves neither behind.
func NewRecorder(path string, rateHz, skipFrames int, applied *engine.QueueOut) (*Recorder, error) {
	r, err := openRecorder(path, rateHz, skipFrames, applied, recordRingSec*rateHz)
	if err != nil {
		return nil, err
	}
	go r.run()
	return r, nil
}

// openRecorder is a recorder that is not running yet.
func openRecorder(path string, rateHz, skipFrames int, applied *engine.QueueOut, ringFrames int) (*Recorder, error) {
	score, err := newRecordedScore(path, rateHz)
	if err != nil {
		return nil, err
	}
	sound, err := wav.Record(path, rateHz, 2, wav.PCM24)
	if err != nil {
		return nil, err
	}
	r := &Recorder{
		ring: newSoundRing(ringFrames), stop: make(chan struct{}), done: make(chan struct{}),
		applied: applied, sound: sound, soundPath: path, score: score, skip: skipFrames,
		taken: make([]float32, 2*takeFrames),
	}
	if err := r.score.begin(rateHz); err != nil {
		sound.Discard()
		return nil, err
	}
	return r, nil
}

// Add records a block, interleaved stereo; every block from the engine's first frame on is to be added. When the
// disk has not kept up for seconds the block is dropped and counted, and as many silent frames keep the
// time. Audio thread: no allocation, lock, system call or log.
func (r *Recorder) Add(block []float32) {
	if !r.closed.Load() {
		r.ring.add(block)
	}
}

// Dropped is how many frames of the recording are silent because the disk did not keep up.
func (r *Recorder) Dropped() int64 { return r.ring.dropped.Load() }

// Err is the first error that the recording has met, or nil. Any goroutine may ask.
func (r *Recorder) Err() error {
	if err := r.first.Load(); err != nil {
		return *err
	}
	return nil
}

// Files are the paths of the sound and of the score.
func (r *Recorder) Files() []string { return []string{r.soundPath, r.score.path} }

// Mark puts a marker with a text into the score at a frame. Any goroutine but the audio thread.
func (r *Recorder) Mark(frame int64, text string) {
	r.score.mark(engine.Marker{Frame: frame, Text: text})
}

// Played keeps a map in the score that turns among the events are about. Any goroutine but the audio thread.
func (r *Recorder) Played(m engine.PlayedMap) { r.score.played(m) }

// Close writes what has been added, completes both files and returns the first error that the recording has
// met. It may be called more than once; blocks added later are not recorded.
func (r *Recorder) Close() error {
	r.closed.Store(true)
	r.closing.Do(func() { close(r.stop) })
	<-r.done
	return r.Err()
}

// run writes until Close.
func (r *Recorder) run() {
	defer close(r.done)
	ticker := time.NewTicker(takeEvery)
	defer ticker.Stop()
	for {
		select {
		case <-ticker.C:
			r.write()
		case <-r.stop:
			r.write()
			r.ring.finish()
			r.write()
			r.end()
			return
		}
	}
}

// write takes what there is, the sound first: the events of frames taken are then all there.
func (r *Recorder) write() {
	paused := !r.writeSound()
	r.writeEvents()
	if r.ended {
		return
	}
	if paused {
		r.keep(r.sound.Update())
	}
	r.keep(r.score.write(r.sound.Frames()))
}

// writeSound says whether there was any. An error ends the recording.
func (r *Recorder) writeSound() (some bool) {
	for {
		frames := r.ring.take(r.taken)
		if frames == 0 {
			return some
		}
		some = true
		skipped := min(r.skip, frames)
		r.skip -= skipped
		if r.ended {
			continue
		}
		shown := r.sound.Frames()
		if err := r.sound.WriteFrames(r.taken[2*skipped : 2*frames]); err != nil {
			r.keep(err)
			r.end()
		} else if r.sound.Frames() > shown { // there may be seconds more in the ring
			r.writeEvents()
			r.keep(r.score.write(r.sound.Frames()))
		}
	}
}

func (r *Recorder) writeEvents() {
	for {
		event, some := r.applied.Peek()
		if !some {
			return
		}
		r.applied.Pop()
		if !r.ended {
			r.keep(r.score.add(event))
		}
	}
}

// end completes both files. The score ends with the sound.
func (r *Recorder) end() {
	if r.ended {
		return
	}
	r.ended = true
	r.closed.Store(true)
	r.keep(r.sound.Close())
	r.keep(r.score.end(r.sound.Frames()))
}

// keep remembers the first error.
func (r *Recorder) keep(err error) {
	if err != nil {
		r.first.CompareAndSwap(nil, &err)
	}
}
