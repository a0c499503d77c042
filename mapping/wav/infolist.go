// The LIST chunk of the kind INFO: title, artist and the like.

package wav

import (
	"encoding/binary"
	"fmt"
	"strings"
)

// Text is one entry of an INFO list, such as INAM, the title (Multimedia Programming Interface and Data
// Specifications 1.0, INFO List Chunk).
type Text struct{ ID, Text string }

const idList = "LIST"

// TextChunk gives the INFO list of texts without the empty ones.
func TextChunk(texts ...Text) Chunk {
	body := []byte("INFO")
	for _, t := range texts {
		if t.Text != "" {
			body = append(body, Chunk{t.ID, append([]byte(t.Text), 0)}.Bytes()...)
		}
	}
	return Chunk{idList, body}
}

// readTexts reads the entries of an INFO list. A list of another kind gives none.
func readTexts(body []byte) (texts []Text, err error) {
	if len(body) < 4 || string(body[:4]) != "INFO" {
		return nil, nil
	}
	for rest := body[4:]; len(rest) >= 8; {
		size := int64(binary.LittleEndian.Uint32(rest[4:]))
		if size > int64(len(rest)-8) {
			return texts, fmt.Errorf("found an entry %q of %d bytes, expected at most the %d that are left",
				rest[:4], size, len(rest)-8)
		}
		before, _, _ := strings.Cut(string(rest[8:8+size]), "\x00")
		texts = append(texts, Text{string(rest[:4]), before})
		rest = rest[min(8+size+size%2, int64(len(rest))):]
	}
	return texts, nil
}
