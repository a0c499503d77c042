// Cleaned takes, kept while they are likely to be used again.

package beds

import (
	"container/list"
	"sync"

	"lapstrake/mapping/beds/clean"
	"lapstrake/mapping/takes"
)

// shelfBytes is how much sound is kept beside what is in use.
const shelfBytes = 256 << 20

// soundShelf cleans each take once as long as it is used again soon: neighbouring beds share takes.
type soundShelf struct {
	clean func(*ingredient) (*clean.Cleaned, error)

	mu     sync.Mutex
	sounds map[string]*shelved // by the takes' names
	idle   *list.List          // of *shelved that nobody uses, the one used last in front
	bytes  int                 // of those that are idle
}

type shelved struct {
	name    string
	ready   chan struct{}
	sound   *clean.Cleaned
	err     error
	users   int
	element *list.Element
}

func newSoundShelf(clean func(*ingredient) (*clean.Cleaned, error)) *soundShelf {
	return &soundShelf{clean: clean, sounds: map[string]*shelved{}, idle: list.New()}
}

// take returns a take's sound, which must not be changed, until release is called.
func (s *soundShelf) take(in *ingredient) (sound *clean.Cleaned, release func(), err error) {
	s.mu.Lock()
	name := takes.TakeName(in.Path, in.stretch())
	item, found := s.sounds[name]
	if !found {
		item = &shelved{name: name, ready: make(chan struct{})}
		s.sounds[name] = item
	}
	item.users++
	if item.element != nil {
		s.idle.Remove(item.element)
		item.element = nil
		s.bytes -= item.size()
	}
	s.mu.Unlock()
	if !found {
		item.sound, item.err = s.clean(in)
		close(item.ready)
	}
	<-item.ready
	return item.sound, func() { s.release(item) }, item.err
}

func (s *soundShelf) release(item *shelved) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if item.users--; item.users > 0 {
		return
	}
	item.element = s.idle.PushFront(item)
	s.bytes += item.size()
	for s.bytes > shelfBytes {
		oldest := s.idle.Remove(s.idle.Back()).(*shelved)
		s.bytes -= oldest.size()
		delete(s.sounds, oldest.name)
	}
}

func (i *shelved) size() int {
	if i.sound == nil {
		return 0
	}
	return i.sound.Bytes()
}
