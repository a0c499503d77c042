package export

import (
	"bytes"
	"encoding/binary"
	"testing"
)

// The file as MMA RP-029 lays it out: RIFF, size, RMID, the score in a chunk data with its pad byte, then the bank,
// byte by byte that of the bank's own file.
func TestRMIDLayout(t *testing.T) {
	j := yard(t, func(j *Job) { j.Parts, j.Performance.Score = Parts{Bank, RMID}, []byte("MThd\x00") })
	out, _ := written(t, j)
	files := contents(t, out)
	bank, bundle := files["bank.dls"], files["bank.rmi"]
	want := binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(bundle)-8))
	want = append(want, "RMIDdata\x05\x00\x00\x00MThd\x00\x00"...)
	if want = append(want, bank...); !bytes.Equal([]byte(bundle), want) || len(bank) == 0 {
		t.Errorf("% x …, want % x …", bundle[:min(40, len(bundle))], want[:40])
	}
}
