// The cue chunk and its labels: named places in a file.

package wav

import (
	"encoding/binary"
	"fmt"
	"strings"
)

// Cue is a named place.
type Cue struct {
	Frame int64
	Label string
}

const (
	idCue    = "cue "
	mostCues = 1024 // bounds what a hostile count may allocate
	cueBytes = 24
)

// CueChunks gives the chunk of the places, and the list of their labels; both stand between fmt and data (Multimedia
// Programming Interface and Data Specifications 1.0, Cue-Points Chunk and Associated Data Chunk). Places without a
// label have none there.
func CueChunks(cues []Cue) []Chunk {
	places := binary.LittleEndian.AppendUint32(nil, uint32(len(cues)))
	labels := []byte("adtl")
	for i, cue := range cues {
		name := uint32(i + 1)
		const chunkStart, blockStart = 0, 0 // of one chunk of sound
		places = binary.LittleEndian.AppendUint32(places, name)
		places = binary.LittleEndian.AppendUint32(places, uint32(cue.Frame))
		places = append(places, "data"...)
		for _, word := range []uint32{chunkStart, blockStart, uint32(cue.Frame)} {
			places = binary.LittleEndian.AppendUint32(places, word)
		}
		if cue.Label != "" {
			body := append(binary.LittleEndian.AppendUint32(nil, name), cue.Label...)
			labels = append(labels, Chunk{"labl", append(body, 0)}.Bytes()...)
		}
	}
	return []Chunk{{idCue, places}, {idList, labels}}
}

// readCues reads the body of a cue chunk; names are what labels call them by.
func readCues(body []byte) (cues []Cue, names []uint32, err error) {
	if len(body) < 4 {
		return nil, nil, fmt.Errorf("found %d bytes, expected 4 or more", len(body))
	}
	count, room := binary.LittleEndian.Uint32(body), (len(body)-4)/cueBytes
	if count > mostCues || int(count) > room {
		return nil, nil, fmt.Errorf("found %d places, expected at most the %d that the chunk has room for", count,
			min(room, mostCues))
	}
	for i := range int(count) {
		at := body[4+i*cueBytes:]
		cues = append(cues, Cue{Frame: int64(binary.LittleEndian.Uint32(at[20:]))})
		names = append(names, binary.LittleEndian.Uint32(at))
	}
	return cues, names, nil
}

// readCueLabels reads the labels of a list of the kind adtl: the text for each name. A list of another kind gives
// none.
func readCueLabels(body []byte) (labels map[uint32]string, err error) {
	if len(body) < 4 || string(body[:4]) != "adtl" {
		return nil, nil
	}
	labels = map[uint32]string{}
	for rest := body[4:]; len(rest) >= 8; {
		size := int64(binary.LittleEndian.Uint32(rest[4:]))
		if size > int64(len(rest)-8) {
			return nil, fmt.Errorf("found an entry %q of %d bytes, expected at most the %d that are left", rest[:4],
				size, len(rest)-8)
		}
		if string(rest[:4]) == "labl" && size >= 4 {
			text, _, _ := strings.Cut(string(rest[12:8+size]), "\x00")
			labels[binary.LittleEndian.Uint32(rest[8:])] = text
		}
		rest = rest[min(8+size+size%2, int64(len(rest))):]
	}
	return labels, nil
}

// cueNames are the places of a file and what they are called by, until all chunks are read.
type cueNames struct {
	names  []uint32
	labels map[uint32]string
}

// put gives the places their labels.
func (c *cueNames) put(cues []Cue) {
	for i := range cues {
		cues[i].Label = c.labels[c.names[i]]
	}
}
