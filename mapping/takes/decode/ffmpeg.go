// Everything else, through the program ffmpeg where it is installed.

package decode

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"path/filepath"
	"strconv"
	"time"

	"lapstrake/mapping/wav"
)

// ffmpegTimeout ends a run that hangs; half an hour of sound takes seconds.
const ffmpegTimeout = 3 * time.Minute

// ffmpegFormats are the containers that ffmpeg may take a file for. Playlists and scripts, which could have
// it open other files, are not among them.
const ffmpegFormats = "aac,ac3,act,aiff,alac,amr,ape,asf,au,avi,avr,bonk,caf,daud,dsf,dts,dtshd,eac3,epaf,flac,flv," +
	"gsm,iff,ircam,loas,matroska,mov,mp3,mpc,mpc8,mpeg,mpegts,nistsphere,ogg,oma,paf,pvf,qcp,rm,rso,sds,shn,sln," +
	"smjpeg,sox,svs,tak,tta,voc,vqf,w64,wav,wsd,wv,xa,xwma"

// noFFmpegError is a machine without the program.
type noFFmpegError struct{ cause error }

func (e *noFFmpegError) Error() string { return e.cause.Error() }

// mend says what to install.
func (e *noFFmpegError) mend() string {
	return "install ffmpeg so that the program ffmpeg is found in PATH"
}

// decodeFFmpeg has ffmpeg write the file's first audio stream as floats into a pipe. name becomes the
// Sound's format.
func decodeFFmpeg(in *input, name string) (*Sound, error) {
	program, err := exec.LookPath("ffmpeg")
	if err != nil {
		return nil, &noFFmpegError{err}
	}
	path, err := filepath.Abs(in.path)
	if err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(context.Background(), ffmpegTimeout)
	defer cancel()
	command := exec.CommandContext(ctx, program, ffmpegArguments(path)...)
	command.WaitDelay = time.Second
	said := &ffmpegWords{}
	command.Stderr = said
	out, err := command.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := command.Start(); err != nil {
		return nil, fmt.Errorf("cannot be started: %w", err)
	}
	s, readErr := in.readPipe(out, name, said)
	if readErr != nil {
		cancel() // it may be blocked on the pipe
	}
	waitErr := command.Wait()
	var limit *LimitError
	switch {
	case in.out.refused != nil:
		return nil, in.out.refused
	case errors.As(readErr, &limit):
		return nil, limit
	case errors.Is(ctx.Err(), context.DeadlineExceeded):
		return nil, fmt.Errorf("not done after %v", ffmpegTimeout)
	case readErr != nil && said.complaint() != "":
		return nil, errors.New(said.complaint())
	case readErr != nil:
		return nil, readErr
	}
	s.Truncated = waitErr != nil || said.complaint() != "" || in.out.seconds() < said.declaredSec()-declaredSlackSec ||
		in.endsEarly(name)
	if in.begins("OggS") {
		truncated, damaged := readOggPages(io.NewSectionReader(in.r, 0, in.size))
		s.Truncated, s.Damaged = s.Truncated || truncated, damaged
	}
	return s, nil
}

// ffmpegArguments keeps the path from being read as an option or as an address, and lasts a little longer
// than a take may, so that too long a file is seen to be too long.
func ffmpegArguments(absolutePath string) []string {
	return []string{
		"-nostdin", "-hide_banner", "-nostats", "-v", "level+info", "-protocol_whitelist", "file",
		"-format_whitelist", ffmpegFormats,
		"-i", "file:" + absolutePath,
		"-map", "0:a:0", "-map_metadata", "-1", "-t", strconv.Itoa(maxSeconds + 1),
		"-c:a", "pcm_f32le", "-bitexact", "-f", "wav", "pipe:1",
	}
}

// readPipe reads a WAV stream whose length nobody knows.
func (in *input) readPipe(r io.Reader, name string, said *ffmpegWords) (*Sound, error) {
	head := make([]byte, 4096) // the header ffmpeg writes is less than 200 bytes
	n, err := io.ReadFull(r, head)
	if err != nil && err != io.ErrUnexpectedEOF {
		return nil, fmt.Errorf("no sound came from ffmpeg: %w", err)
	}
	head = head[:n]
	info, err := wav.ReadInfo(bytes.NewReader(head), int64(n), in.path)
	var truncated *wav.TruncatedError
	if err != nil && !errors.As(err, &truncated) {
		return nil, err
	}
	s := &Sound{RateHz: info.RateHz, Format: name, Channels: newChannels(info.Channels, 0)}
	declared := int64(said.declaredSec() * float64(info.RateHz)) // 0 if it has not said so yet
	if err := in.out.begin(s, in.likely(declared)); err != nil {
		return nil, err
	}
	block := make([]float32, blockSamples/info.Channels*info.Channels)
	raw := make([]byte, len(block)*info.Encoding.Bytes())
	r = io.MultiReader(bytes.NewReader(head[info.DataOffset:]), r)
	for {
		n, err := io.ReadFull(r, raw)
		samples := n / (info.Encoding.Bytes() * info.Channels) * info.Channels
		part := block[:samples]
		wav.Decode(part, raw, info.Encoding)
		s.NotFinite = zeroNotFinite(part) || s.NotFinite
		if err := in.out.add(part); err != nil {
			return nil, err
		}
		if err != nil { // the end; how it came about, Wait says
			return s, nil
		}
	}
}
