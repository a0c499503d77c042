// Chunks as they are written.

package dls

import (
	"bytes"
	"encoding/binary"
)

// le joins numbers, little-endian, and text.
func le(fields ...any) []byte {
	var out []byte
	for _, field := range fields {
		if text, isText := field.(string); isText {
			out = append(out, text...)
			continue
		}
		out, _ = binary.Append(out, binary.LittleEndian, field) // fails for what has no fixed size only
	}
	return out
}

func chunk(id string, body []byte) []byte {
	out := append(le(id, uint32(len(body))), body...)
	return append(out, make([]byte, len(body)%2)...)
}

func list(kind string, chunks ...[]byte) []byte {
	return chunk("LIST", append([]byte(kind), bytes.Join(chunks, nil)...))
}

// texts is an INFO list of pairs of name and text, without those that are empty; nothing when all are.
func texts(pairs ...string) []byte {
	var chunks [][]byte
	for i := 0; i < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			chunks = append(chunks, chunk(pairs[i], append([]byte(pairs[i+1]), 0)))
		}
	}
	if chunks == nil {
		return nil
	}
	return list("INFO", chunks...)
}
