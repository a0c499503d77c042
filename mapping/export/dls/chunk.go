// Chunks as they are written.

package dls

import (
	"bytes"
	"encoding/binary"
	"slices"

	"lapstrake/mapping/wav"
)

// le joins numbers, little-endian, and text.
func le(fields ...any) []byte {
	var out []byte
	for _, field := range fields {
		if text, isText := field.(string); isText {
			out = append(out, text...)
			continue
		}
		// an error means a field without a fixed size: none here
		out, _ = binary.Append(out, binary.LittleEndian, field)
	}
	return out
}

// chunk gives a chunk with its pad byte.
func chunk(id string, body []byte) []byte { return wav.Chunk{ID: id, Body: body}.Bytes() }

// list gives a LIST of a kind.
func list(kind string, chunks ...[]byte) []byte {
	return chunk("LIST", append([]byte(kind), bytes.Join(chunks, nil)...))
}

// texts gives an INFO list of those texts that are not empty, or nothing when all are.
func texts(all ...wav.Text) []byte {
	if !slices.ContainsFunc(all, func(t wav.Text) bool { return t.Text != "" }) {
		return nil
	}
	return wav.TextChunk(all...).Bytes()
}
