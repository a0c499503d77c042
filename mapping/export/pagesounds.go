// The sounds of the part that plays: the cycle of each zone and layer from its frame 0, as FLAC (RFC 9639) in a
// script. A note begins at the frame that the key map names, so that no cycle is there twice.

package export

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"io"
	"math"
	"os"
	"path"
	"slices"

	"lapstrake/mapping"
	"lapstrake/mapping/wav"
	"lapstrake/mapping/whole"
)

// pageFormat is that of the page's sounds: their dither lies far below what beds have of noise.
const pageFormat = wav.PCM16

// pageJob is the job as the page has it: on its own cycles, with every start that the player gives.
func (j *Job) pageJob() *Job {
	with := *j
	with.Format, with.Starts = pageFormat, AllStarts
	if j.Map.Stagger.By == mapping.ByZone { // the others are there for samplers alone
		with.Starts = FirstStart
	}
	if j.Page.Cycles != nil {
		with.Cycles = j.Page.Cycles
	}
	return &with
}

// pageItems are the cycles of the page, each once, from frame 0.
func (j *Job) pageItems() ([]Item, error) {
	with := *j.pageJob()
	with.Starts = FirstStart
	items, err := with.items()
	for k := range items {
		items[k].Start, items[k].startFrame = 0, 0
	}
	return items, err
}

// pageKeyMap lists the page's sounds, and the zone of each row.
func (j *Job) pageKeyMap() (k *KeyMap, rowZones []int, err error) {
	sounds, err := j.pageItems()
	if err != nil {
		return nil, nil, err
	}
	items, err := j.items()
	if err != nil {
		return nil, nil, err
	}
	k = j.keyMapHead(items)
	for i := range items {
		item := &items[i]
		at := slices.IndexFunc(sounds, func(s Item) bool { return s.Zone == item.Zone && s.Layer == item.Layer })
		item.measured = &measures{math.NaN(), math.NaN(), math.NaN(), math.NaN()} // nobody reads them here
		for _, row := range j.keyRows(item, pageSoundName(&sounds[at]), FLAC) {
			row.BeginFrame = item.startFrame
			k.Files = append(k.Files, row)
			rowZones = append(rowZones, slices.IndexFunc(j.Map.Zones, func(z mapping.Zone) bool {
				return z.Rank == item.Zone.Rank && z.Low == item.Zone.Low && z.Root == item.Zone.Root
			}))
		}
	}
	return k, rowZones, nil
}

// pageFiles are a file for the page itself and one for each sound.
func (p *part) pageFiles(j *Job) (files []partFile, err error) {
	items, err := j.pageItems()
	files = append(files, partFile{p, p.place, nil})
	for i := range items {
		files = append(files, partFile{p, path.Join(pageFolder, pageSoundName(&items[i])), items[i : i+1]})
	}
	return files, err
}

// pageBytes is at most how large a file of the page becomes.
func (j *Job) pageBytes(items []Item) (int64, error) {
	if len(items) == 0 {
		return j.pageTextBytes()
	}
	flac, err := j.pageJob().flacBytes(items)
	return int64(base64.StdEncoding.EncodedLen(int(flac))) + int64(len(givingBegin)+len(givingEnd)), err
}

// writePageSound writes the script of a sound.
func (j *Job) writePageSound(i *Item, at fileAt, step stepped) (clipped int64, err error) {
	var file memoryFile
	if clipped, err = j.pageJob().encodeFLAC(&file, i, 0, i.Frames(), step); err != nil {
		return 0, err
	}
	return clipped, whole.Write(at.path(), givingScript(file.data))
}

// provePageSound reads the sound back, through the decoder that reads takes.
func (j *Job) provePageSound(i *Item, at fileAt, clipped int64, step stepped) ([]Proof, error) {
	text, err := os.ReadFile(at.path())
	if err != nil {
		return nil, err
	}
	text = bytes.TrimSuffix(bytes.TrimPrefix(text, []byte(givingBegin)), []byte(givingEnd))
	data, err := base64.StdEncoding.DecodeString(string(text))
	if err != nil {
		return nil, fmt.Errorf("%s: read back, it holds no sound (%w); check the disk, and export again", at.name, err)
	}
	sound := fileAt{at.dir, at.name + ".flac"}
	if err := whole.Write(sound.path(), data); err != nil {
		return nil, err
	}
	defer os.Remove(sound.path())
	proof, err := j.pageJob().proveDecoded(i, sound, clipped, step)
	proof.File = at.name
	return []Proof{proof}, err
}

// memoryFile is a file in memory.
type memoryFile struct {
	data []byte
	at   int
}

// Write implements io.Writer.
func (f *memoryFile) Write(data []byte) (int, error) {
	f.data = append(f.data, make([]byte, max(f.at+len(data)-len(f.data), 0))...)
	f.at += copy(f.data[f.at:], data)
	return len(data), nil
}

// Seek implements io.Seeker, from the beginning alone: that is what the encoder asks for.
func (f *memoryFile) Seek(offset int64, whence int) (int64, error) {
	if whence != io.SeekStart || offset < 0 || offset > int64(len(f.data)) {
		return 0, fmt.Errorf("a place %d from %d: expected one of %d bytes", offset, whence, len(f.data))
	}
	f.at = int(offset)
	return offset, nil
}
