// The maps that a recorded performance is played on: kept beside its events, with the hashes of their beds, so that
// render can play it on the same ones.

package main

import (
	"os"
	"path/filepath"
	"sync"

	"lapstrake/engine"
	"lapstrake/engine/live"
	"lapstrake/mapping/takes/decode"
)

// playedMaps takes in what an engine opens and gives it to a recording, once there is one.
type playedMaps struct {
	dir string // of the first map

	mu       sync.Mutex
	told     []engine.PlayedMap // before there was a recording
	recorder *live.Recorder

	hashing sync.WaitGroup
	one     sync.Mutex // bed is read at a time
	hashes  map[string]hashedBed
}

// hashedBed is a bed as it was when it was read.
type hashedBed struct {
	file os.FileInfo
	hash string
}

func newPlayedMaps(mapPath string) *playedMaps {
	return &playedMaps{dir: filepath.Dir(mapPath), hashes: map[string]hashedBed{}}
}

// opened is told of a map before it plays. Its beds are read later: the score tells of them when that is done.
func (p *playedMaps) opened(o engine.Opened) {
	text, err := o.Cycles.Map.Encode()
	if err != nil {
		return // it came from a text
	}
	path, err := filepath.Rel(p.dir, o.Path)
	if err != nil {
		path = o.Path
	}
	p.tell(engine.PlayedMap{Number: o.Number, Loaded: o.Loaded, Sound: o.Sound, Path: filepath.ToSlash(path),
		Text: string(text), Voices: o.Voices, Instead: o.Instead})
	p.hashing.Go(func() {
		p.one.Lock()
		defer p.one.Unlock()
		beds := map[string]string{}
		for _, bed := range o.Cycles.Map.BedPaths() {
			beds[bed] = p.hash(filepath.Join(o.Cycles.Dir(), filepath.FromSlash(bed)))
		}
		for _, bed := range o.Cycles.ChangedBeds() { // nobody knows what they were
			beds[bed] = ""
		}
		p.tell(engine.PlayedMap{Number: o.Number, Beds: beds})
	})
}

// hash is a bed's; "" where it cannot be read. A bed that has stayed what it was is not read again.
func (p *playedMaps) hash(path string) string {
	file, err := os.Stat(path)
	if err != nil {
		return ""
	}
	if known, is := p.hashes[path]; is && os.SameFile(known.file, file) && known.file.Size() == file.Size() &&
		known.file.ModTime().Equal(file.ModTime()) {
		return known.hash
	}
	hash, err := decode.Hash(path)
	if err != nil {
		return ""
	}
	p.hashes[path] = hashedBed{file, hash}
	return hash
}

func (p *playedMaps) tell(m engine.PlayedMap) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.recorder == nil {
		p.told = append(p.told, m)
		return
	}
	p.recorder.Played(m)
}

// record gives all that was told, and what is to come, to a recording.
func (p *playedMaps) record(r *live.Recorder) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, m := range p.told {
		r.Played(m)
	}
	p.told, p.recorder = nil, r
}
