// The board: what every visitor is told as text, and again whenever it changes.

package page

import (
	"bytes"
	"encoding/json"
	"slices"
	"sync"
)

// telling is a message to visitors: what it is about, and what there is to tell.
type telling struct {
	Told string `json:"told"`
	What any    `json:"what"`
}

// board keeps the newest text of each kind.
type board struct {
	mu    sync.Mutex
	kinds []string // in the order in which they were first told
	texts map[string][]byte
	count map[string]int // how often it has changed
}

// tell puts something on the board. It says whether that is new.
func (b *board) tell(told string, what any) (isNew bool) {
	text, err := json.Marshal(telling{told, what})
	if err != nil {
		panic(err) // only what is written in this package comes here
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if bytes.Equal(b.texts[told], text) {
		return false
	}
	if b.texts == nil {
		b.texts, b.count = map[string][]byte{}, map[string]int{}
	}
	if !slices.Contains(b.kinds, told) {
		b.kinds = append(b.kinds, told)
	}
	b.texts[told] = text
	b.count[told]++
	return true
}

// since lists what has changed since somebody looked, and notes that he has seen it.
func (b *board) since(seen map[string]int) (texts [][]byte) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, kind := range b.kinds {
		if seen[kind] != b.count[kind] {
			seen[kind] = b.count[kind]
			texts = append(texts, b.texts[kind])
		}
	}
	return texts
}
