// Labels: all that a file says about itself beside its sound.

package wav

import "io"

// Labels are the chunks that describe a file to sample players and to people. A chunk that is not there is nil.
type Labels struct {
	Sampler    *Sampler
	Instrument *Instrument
	Broadcast  *Broadcast
	Texts      []Text
	Cues       []Cue
	XML        string // of an axml chunk: a document in XML 1.0 (EBU Tech 3285, supplement 5); "": none
}

// mostLabelBytes bounds what is read of one chunk.
const mostLabelBytes = 1 << 20

// ReadLabels reads the smpl, inst, bext, cue, adtl, INFO and axml chunks of a WAVE file of sizeBytes bytes; name is
// used in errors, which are those of ReadInfo.
func ReadLabels(r io.ReaderAt, sizeBytes int64, name string) (Labels, error) {
	info, err := ReadInfo(r, sizeBytes, name)
	if err != nil {
		return Labels{}, err
	}
	labels, names := Labels{Sampler: info.Sampler}, cueNames{}
	h := header{r: r, sizeBytes: sizeBytes, path: name}
	for offset, n := int64(formBytes), 0; offset <= sizeBytes-8 && n < maxChunks; n++ {
		c, err := h.readChunk(offset)
		if err != nil {
			return Labels{}, err
		}
		if h.exceedsFile(c) || !c.id.printable() {
			break // the sound, of unknown length, or what is no chunk
		}
		if err := h.takeLabel(c, &labels, &names); err != nil {
			return Labels{}, err
		}
		if offset, err = h.next(c); err != nil {
			return Labels{}, err
		}
	}
	names.put(labels.Cues)
	return labels, nil
}

const idXML = "axml"

// XMLChunk is the axml chunk of a document.
func XMLChunk(document string) Chunk { return Chunk{idXML, []byte(document)} }

// takeLabel keeps what a chunk says if it is one of the labels; smpl is read already.
func (h *header) takeLabel(c chunk, labels *Labels, names *cueNames) error {
	id := string(c.id[:])
	if id != idInstrument && id != idBroadcast && id != idCue && id != idList && id != idXML {
		return nil
	}
	body := make([]byte, min(c.sizeBytes, mostLabelBytes))
	err := h.readAt(body, c.bodyOffset)
	if err != nil {
		return err
	}
	switch id {
	case idInstrument:
		labels.Instrument, err = readInstrument(body)
	case idBroadcast:
		labels.Broadcast, err = readBroadcast(body)
	case idCue:
		labels.Cues, names.names, err = readCues(body)
	case idXML:
		labels.XML = string(body)
	default:
		if of, cueErr := readCueLabels(body); of != nil || cueErr != nil {
			names.labels, err = of, cueErr
			break
		}
		var texts []Text
		texts, err = readTexts(body)
		labels.Texts = append(labels.Texts, texts...)
	}
	if err != nil {
		return h.formatError(c, 0, err.Error(), "the chunk as published",
			"open the file in an audio editor and save it as a new WAV")
	}
	return nil
}
