// Writer of one file of the FLAC set (RFC 9639).

package export

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"

	"lapstrake/mapping/wav"
	"lapstrake/mapping/whole"
)

// flacBlockFrames is the length of a block, as encoders have it (common practice).
const flacBlockFrames = 4096

// writeFLAC writes an item as FLAC. Its numbers are those of the AIFF file: the same quantiser and seed.
func (j *Job) writeFLAC(i *Item, path string, step stepped) (clipped int64, err error) {
	out, err := whole.Create(path)
	if err != nil {
		return 0, err
	}
	defer out.Discard()
	w := &seekingBuffer{bufio.NewWriterSize(out, 1<<16), out}
	clipped, err = j.encodeFLAC(w, i, 0, i.Frames(), step)
	if err == nil {
		err = w.Flush()
	}
	if err != nil {
		return 0, err
	}
	return clipped, out.Commit()
}

// encodeFLAC writes frames of an item, from frame from up to, not including, to.
func (j *Job) encodeFLAC(w io.Writer, i *Item, from, to int64, step stepped) (clipped int64, err error) {
	bits, channels := 8*j.Format.Encoding().Bytes(), i.Cycle.channels()
	encoder, err := flac.NewEncoder(w, &meta.StreamInfo{
		BlockSizeMin: flacBlockFrames, BlockSizeMax: flacBlockFrames, SampleRate: uint32(i.Cycle.RateHz),
		NChannels: uint8(channels), BitsPerSample: uint8(bits), NSamples: uint64(to - from),
	}, j.flacTags(i))
	if err != nil {
		return 0, err
	}
	block := newFLACBlock(channels, bits, i.Cycle.RateHz)
	quantiser := wav.NewQuantiser(bits, i.seed())
	err = i.each(from, to, func(piece []float32, _ int64) error {
		if err := step(len(piece) / 2); err != nil {
			return err
		}
		for k, sample := range i.stored(piece) {
			side := block.Subframes[k%channels]
			side.Samples = append(side.Samples, int32(quantiser.Steps(sample)))
			if last := channels - 1; k%channels == last && len(side.Samples) == flacBlockFrames {
				if err := writeFLACBlock(encoder, block); err != nil {
					return err
				}
			}
		}
		return nil
	})
	if err == nil {
		err = writeFLACBlock(encoder, block)
	}
	if err == nil {
		err = encoder.Close()
	}
	return quantiser.Clipped(), err
}

// newFLACBlock is a block without samples.
func newFLACBlock(channels, bits, rateHz int) *frame.Frame {
	block := &frame.Frame{Header: frame.Header{HasFixedBlockSize: true, SampleRate: uint32(rateHz),
		Channels: frame.ChannelsMono, BitsPerSample: uint8(bits)}}
	if channels == 2 {
		block.Channels = frame.ChannelsLR
	}
	for range channels {
		block.Subframes = append(block.Subframes, &frame.Subframe{})
	}
	return block
}

// writeFLACBlock writes the samples of a block, if there are any, and leaves it without.
func writeFLACBlock(encoder *flac.Encoder, block *frame.Frame) error {
	frames := len(block.Subframes[0].Samples)
	if frames == 0 {
		return nil
	}
	block.BlockSize = uint16(frames)
	for _, side := range block.Subframes {
		// the encoder looks for better
		side.SubHeader, side.NSamples = frame.SubHeader{Pred: frame.PredVerbatim}, frames
	}
	err := encoder.WriteFrame(block)
	for _, side := range block.Subframes {
		side.Samples = side.Samples[:0]
	}
	return err
}

// flacTags are the texts of a file; root, keys and loop have no field in the standard, so they stand as tags, the
// loop's by names that are common practice.
func (j *Job) flacTags(i *Item) *meta.Block {
	tags := [][2]string{{"TITLE", j.itemTitle(i)}, {"ARTIST", j.Artist}, {"ALBUM", j.Title},
		{"DESCRIPTION", j.describe(i)}, {"COPYRIGHT", j.rights(i)}, {"ROOT_KEY", strconv.Itoa(i.Zone.Root)},
		{"LOOPSTART", "0"},
		{"LOOPLENGTH", strconv.FormatInt(i.Frames(), 10)}}
	if keys := i.Keys[0]; len(i.Keys) == 1 {
		tags = append(tags, [2]string{"LOW_KEY", strconv.Itoa(keys.Low)},
			[2]string{"HIGH_KEY", strconv.Itoa(keys.High)})
	}
	if j.isTuned() {
		tags = append(tags, [2]string{"TUNING", j.tuningText()}, [2]string{"TUNE_CENTS", j.centsText(i)})
	}
	if !j.Date.IsZero() {
		tags = append(tags, [2]string{"DATE", j.Date.UTC().Format(time.DateOnly)})
	}
	comment := &meta.VorbisComment{Vendor: software}
	for _, tag := range tags {
		if tag[1] != "" {
			comment.Tags = append(comment.Tags, tag)
		}
	}
	const notEmpty = 1 // the library finds the length itself, but writes no body where this is 0
	return &meta.Block{Header: meta.Header{Type: meta.TypeVorbisComment, Length: notEmpty}, Body: comment}
}

// centsText lists how far the keys of an item, or runs of them, are tuned above their equal semitones.
func (j *Job) centsText(i *Item) string {
	var runs []string
	for _, run := range j.keyRuns(i) {
		runs = append(runs, fmt.Sprintf("%d-%d: %s", run.Low, run.High, decimal(run.tuneCents)))
	}
	return strings.Join(runs, ", ")
}

// seekingBuffer is a buffer before a file: the encoder goes back to its beginning in the end.
type seekingBuffer struct {
	*bufio.Writer
	file io.Seeker
}

// Seek implements io.Seeker.
func (s *seekingBuffer) Seek(offset int64, whence int) (int64, error) {
	if err := s.Flush(); err != nil {
		return 0, err
	}
	return s.file.Seek(offset, whence)
}

// flacBytes is at most how large a file of one item becomes: as large as plain samples, and a little more for each
// block.
func (j *Job) flacBytes(items []Item) (int64, error) {
	plain, err := j.setFileBytes(items)
	const besideBlockBytes = 64
	return plain + (items[0].Frames()/flacBlockFrames+1)*besideBlockBytes, err
}
