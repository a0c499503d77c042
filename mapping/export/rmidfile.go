// Writer and proof of the bank and a score of it in one file (RMID; MMA RP-029, Bundling SMF and DLS data in an RMID
// file).

package export

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"

	"lapstrake/mapping/export/dls"
	"lapstrake/mapping/wav"
	"lapstrake/mapping/whole"
)

// rmidHead is what stands ahead of the bank: RIFF, the size of all that follows, RMID, and the score in a chunk of its
// own.
func (j *Job) rmidHead(bankBytes int64) []byte {
	score := wav.Chunk{ID: "data", Body: j.Performance.Score}.Bytes()
	head := binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(4+int64(len(score))+bankBytes))
	return append(append(head, "RMID"...), score...)
}

var errNoScore = errors.New("there is no score to play the bank by")

func (j *Job) rmidBytes(items []Item) (int64, error) {
	if j.Performance == nil {
		return 0, errNoScore
	}
	bankBytes, err := j.bankBytes(items)
	size := bankBytes + int64(len(j.rmidHead(bankBytes)))
	if err == nil && size > math.MaxUint32 {
		err = fmt.Errorf("found %d bytes to write, expected what a RIFF file of 4 GiB holds; give a budget", size)
	}
	return size, err
}

// writeRMID writes the score, then the bank.
func (j *Job) writeRMID(items []Item, at fileAt, step stepped) ([]int64, error) {
	b := j.layBank(items, bankBits)
	out, err := whole.Create(at.path())
	if err != nil {
		return nil, err
	}
	defer out.Discard()
	w := bufio.NewWriterSize(out, 1<<16)
	w.Write(j.rmidHead(dls.SizeBytes(&b.Bank))) // w keeps an error until Flush
	clipped, err := b.writeTo(w, step)
	if err != nil {
		return nil, err
	}
	if err := w.Flush(); err != nil {
		return nil, err
	}
	return clipped, out.Commit()
}

// proveRMID reads score and bank back.
func (j *Job) proveRMID(items []Item, at fileAt, clipped []int64, step stepped) ([]Proof, error) {
	b := j.layBank(items, bankBits)
	file, err := os.Open(at.path())
	if err != nil {
		return nil, err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return nil, err
	}
	want := j.rmidHead(dls.SizeBytes(&b.Bank))
	head := make([]byte, len(want))
	if _, err := file.ReadAt(head, 0); err != nil || !bytes.Equal(head, want) {
		return nil, errors.Join(err, fmt.Errorf("%s: read back, its score is not what was written", at.name))
	}
	bankBytes := info.Size() - int64(len(head))
	return b.proveIn(io.NewSectionReader(file, int64(len(head)), bankBytes), bankBytes, at, clipped, step)
}
