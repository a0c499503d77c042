// A WAVE file that can be opened at any moment while it is being written.

package wav

import (
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// headerBytes is how much stands ahead of the sound in the files that we write.
const headerBytes = 44

// Recording writes one file for as long as the sound goes on: WriteFrames as often as needed, then
// Close. The file stands under its own name from the start. After every second of sound the sound goes
// to the disk, then a header that counts it. Whatever happens to the program or to the power, any reader
// finds the sound up to the last such moment. A Recording is not safe for concurrent use. Once closed,
// the file holds the bytes that a Writer makes of the same frames.
type Recording struct {
	*frameWriter
	file   *os.File
	header [headerBytes]byte
	shown  int64 // frames that the header on the disk counts
	failed error // the first; after it nothing more is written
}

// Record starts a file at path with 1 or 2 channels and 1 to 768000 frames a second. It overwrites
// nothing: a file of that name is an error that wraps fs.ErrExist.
func Record(path string, rateHz, channels int, f Format) (*Recording, error) {
	if err := checkForm(path, rateHz, channels, f); err != nil {
		return nil, err
	}
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
	if errors.Is(err, fs.ErrExist) {
		return nil, fmt.Errorf("%s: found that it is there already (%w), expected a name not yet in use; "+
			"choose another name, or move that file away: a recording overwrites nothing", path, fs.ErrExist)
	}
	if err != nil {
		return nil, recordError(path, err)
	}
	r := &Recording{file: file}
	if err := r.begin(path, rateHz, channels, f); err != nil {
		r.Discard()
		return nil, recordError(path, err)
	}
	return r, nil
}

// begin writes the header of a file without frames and keeps a copy, in which only the sizes change.
func (r *Recording) begin(path string, rateHz, channels int, f Format) (err error) {
	if r.frameWriter, err = newFrameWriter(r.file, path, rateHz, channels, f, nil, nil, 0); err != nil {
		return err
	}
	if err := r.flush(); err != nil {
		return err
	}
	if _, err := r.file.ReadAt(r.header[:], 0); err != nil {
		return err
	}
	return r.show(0)
}

// WriteFrames appends len(interleaved)/channels frames, full scale ±1. The integer formats clip
// what lies beyond and count it. Frames that are not whole, not all finite (*NotFiniteError) or too many
// for the file are refused, and others may follow; after a disk's error only Close is of use.
func (r *Recording) WriteFrames(interleaved []float32) error {
	if r.failed != nil {
		return r.failed
	}
	if err := r.check(interleaved); err != nil {
		return err
	}
	if err := r.append(interleaved); err != nil {
		r.failed = recordError(r.path, err)
		return r.failed
	}
	if r.frames-r.shown >= int64(r.rateHz) {
		return r.Update()
	}
	return nil
}

// Update brings the file and its header up to date now rather than after the next full second, for when
// the sound pauses. It does nothing when there is nothing new.
func (r *Recording) Update() error {
	if r.failed != nil || r.frames == r.shown {
		return r.failed
	}
	err := r.flush()
	if err == nil {
		err = r.file.Sync() // the sound before a header that counts it
	}
	if err == nil {
		err = r.show(r.frames)
	}
	if err != nil {
		r.failed = recordError(r.path, err)
	}
	return r.failed
}

// show makes the header count so many frames. It writes the header in one piece, so that its two sizes
// always agree. The next frame overwrites the pad byte.
func (r *Recording) show(frames int64) error {
	dataBytes := frames * int64(len(r.frame))
	padBytes := dataBytes % 2
	if _, err := r.file.WriteAt(make([]byte, padBytes), headerBytes+dataBytes); err != nil {
		return err
	}
	binary.LittleEndian.PutUint32(r.header[4:], uint32(headerBytes-8+dataBytes+padBytes))
	binary.LittleEndian.PutUint32(r.header[headerBytes-4:], uint32(dataBytes))
	if _, err := r.file.WriteAt(r.header[:], 0); err != nil {
		return err
	}
	r.shown = frames
	return nil
}

// Frames is how many frames a reader of the file finds now.
func (r *Recording) Frames() int64 { return r.shown }

// Close completes the file and returns the first error that it has met. After a disk's error the file
// counts all whole frames that did reach it.
func (r *Recording) Close() error {
	if err := r.Update(); err != nil {
		r.showLanded()
	}
	syncError, closeError := r.file.Sync(), r.file.Close()
	if err := cmp.Or(syncError, closeError); err != nil && r.failed == nil {
		r.failed = recordError(r.path, err)
	}
	return r.failed
}

// Discard leaves nothing of the file, for a recording that is not to begin after all.
func (r *Recording) Discard() {
	r.file.Close() // before the removal: Windows removes no open file
	os.Remove(r.file.Name())
}

// showLanded makes the header count what the disk took before it failed. Where that fails too, the last
// header stays, and is good.
func (r *Recording) showLanded() {
	info, err := r.file.Stat()
	if err != nil {
		return
	}
	landed := (info.Size() - headerBytes) / int64(len(r.frame))
	if landed*int64(len(r.frame))%2 != 0 {
		landed-- // the disk may have no room for a pad byte
	}
	if landed = min(landed, r.maxFrames); landed > r.shown {
		r.show(landed)
	}
}

// recordError names the file and the mend.
func recordError(path string, err error) error {
	var system *fs.PathError
	if errors.As(err, &system) {
		err = system.Err // without the path, which stands ahead
	}
	return fmt.Errorf("%s: cannot be recorded on: %w; "+
		"free some space on that disk, or choose a folder that is there and writable", path, err)
}
