// Raw: MIDI as plain bytes, from a device node or a named pipe.

package midi

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"sync"
	"time"

	"lapstrake/engine/live"
)

// Raw reads channel messages from a device node such as /dev/snd/midiC1D0 or from a named pipe. When
// the device goes, what was held through it is released, and it is opened again when it is back.
type Raw struct {
	path     string
	arrivals *live.Arrivals
	report   func(string)

	guard   sync.Mutex
	file    *os.File // nil while there is none
	closed  bool
	stop    chan struct{}
	stopped chan struct{}
}

// OpenRaw opens path and reads from it until Close. What happens to it later is told to report, a
// line at a time, from one goroutine.
func OpenRaw(arrivals *live.Arrivals, path string, report func(string)) (*Raw, error) {
	file, err := openRaw(path)
	if err != nil {
		return nil, err
	}
	input, err := arrivals.Open()
	if err != nil {
		file.Close()
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	r := &Raw{
		path: path, arrivals: arrivals, report: report, file: file,
		stop: make(chan struct{}), stopped: make(chan struct{}),
	}
	go r.run(file, input)
	return r, nil
}

// FileError says that a path leads to a plain file, which sends nothing.
type FileError struct{ Path string }

func (e *FileError) Error() string {
	return e.Path + " is a file; expected a MIDI device node or a named pipe"
}

// openRaw opens a pipe for reading and writing, so that it stays open while writers come and go, and
// a device for reading alone, since others may hold its other direction. Neither is waited for.
func openRaw(path string) (*os.File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, fmt.Errorf("%w: expected a MIDI device node or a named pipe: plug the device in, or make a pipe "+
			"with mkfifo", err)
	}
	mode := info.Mode()
	flags := os.O_RDONLY
	switch {
	case mode.IsRegular():
		return nil, &FileError{path}
	case mode.IsDir():
		return nil, fmt.Errorf("%s is a folder; expected a MIDI device node or a named pipe, such as one in it", path)
	case mode&fs.ModeNamedPipe != 0:
		flags = os.O_RDWR
	case mode&fs.ModeCharDevice == 0:
		return nil, fmt.Errorf("%s is neither a device nor a pipe (%v); expected a MIDI device node or a named pipe",
			path, mode.Type())
	}
	file, err := os.OpenFile(path, flags|nonBlocking, 0)
	if err != nil {
		return nil, fmt.Errorf("%w: it cannot be read; expected a device that is free and may be read: close what "+
			"uses it, or ask for the right to (on Linux, the group audio)", err)
	}
	// Only what can be waited for can be given up: a plain read would hold Close up for ever.
	if err := file.SetReadDeadline(time.Time{}); err != nil {
		file.Close()
		return nil, fmt.Errorf("%s cannot be waited for: expected a MIDI device node or a named pipe", path)
	}
	return file, nil
}

// run reads until Close, and looks for a device that has gone.
func (r *Raw) run(file *os.File, input *live.Input) {
	defer close(r.stopped)
	for {
		r.read(file, input)
		file.Close()
		input.Close()
		if r.isClosed() {
			return
		}
		r.report(fmt.Sprintf("MIDI input %s has gone: it was unplugged or switched off; its notes are released, it "+
			"plays again when it is back", r.path))
		if file, input = r.reopen(); file == nil {
			return
		}
		r.report(fmt.Sprintf("MIDI input %s is open again", r.path))
	}
}

// read parses what comes until the file ends, is closed, or is no longer what the path leads to.
func (r *Raw) read(file *os.File, input *live.Input) {
	var parser Parser
	buffer := make([]byte, 256)
	for {
		file.SetReadDeadline(time.Now().Add(checkEvery))
		n, err := file.Read(buffer)
		atNs := live.Now()
		parser.parseInto(input, atNs, buffer[:n])
		switch {
		case errors.Is(err, os.ErrDeadlineExceeded):
			if !r.leadsTo(file) {
				return
			}
		case err != nil:
			return // in the many ways in which systems say that a device has gone
		}
	}
}

func (r *Raw) leadsTo(file *os.File) bool {
	there, err := os.Stat(r.path)
	if err != nil {
		return false
	}
	ours, err := file.Stat()
	return err == nil && os.SameFile(ours, there)
}

// reopen tries until it succeeds; after Close it gives nil.
func (r *Raw) reopen() (*os.File, *live.Input) {
	ticker := time.NewTicker(checkEvery)
	defer ticker.Stop()
	for {
		select {
		case <-r.stop:
			return nil, nil
		case <-ticker.C:
		}
		file, err := openRaw(r.path)
		if err != nil {
			continue
		}
		input, err := r.arrivals.Open()
		if err != nil || !r.use(file) {
			file.Close()
			if input != nil {
				input.Close()
			}
			continue
		}
		return file, input
	}
}

func (r *Raw) isClosed() bool {
	r.guard.Lock()
	defer r.guard.Unlock()
	return r.closed
}

// use makes file the one that Close closes, unless that is past.
func (r *Raw) use(file *os.File) bool {
	r.guard.Lock()
	defer r.guard.Unlock()
	r.file = file
	return !r.closed
}

// Close ends the reading and releases what is held. It does not wait for anything to be sent.
func (r *Raw) Close() error {
	r.guard.Lock()
	r.closed = true
	close(r.stop)
	r.file.Close() // ends a read that waits
	r.guard.Unlock()
	<-r.stopped
	return nil
}
