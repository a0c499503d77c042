package export

import (
	"errors"
	"io"
	"path/filepath"
	"slices"
	"testing"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/meta"

	"lapstrake/mapping"
	"lapstrake/mapping/wav"
)

// FLAC files hold the numbers of the WAV files, mono and stereo, at both depths, and tell root, keys and loop in their
// tags.
func TestFLACHoldsTheSameNumbers(t *testing.T) {
	for _, format := range []wav.Format{wav.PCM16, wav.PCM24} {
		for _, single := range []bool{false, true} {
			j := yard(t, func(j *Job) {
				j.Parts, j.Format, j.Artist = Parts{WAV, FLAC}, format, ""
				if single {
					j.Cycles = mono(j.Cycles)
				}
			})
			out, _ := written(t, j)
			item := itemsOf(t, j)[1]
			file, err := wav.Open(filepath.Join(out, fileIn(WAV, &item)))
			if err != nil {
				t.Fatal(err)
			}
			want := make([]float32, file.Info.Channels*int(file.Info.Frames))
			if err := file.ReadFrames(want, 0); err != nil {
				t.Fatal(err)
			}
			file.Close()
			stream, err := flac.ParseFile(filepath.Join(out, fileIn(FLAC, &item)))
			if err != nil {
				t.Fatal(err)
			}
			var got []float32
			for {
				block, err := stream.ParseNext()
				if errors.Is(err, io.EOF) {
					break
				}
				if err != nil {
					t.Fatal(err)
				}
				for k := range block.Subframes[0].Samples {
					for _, side := range block.Subframes {
						got = append(got, float32(side.Samples[k])/float32(int64(1)<<(stream.Info.BitsPerSample-1)))
					}
				}
			}
			stream.Close()
			if !slices.Equal(got, want) || int(stream.Info.NSamples) != yardFrames ||
				stream.Info.MD5sum == [16]byte{} {
				t.Errorf("%v, mono %v: %d samples, want %d, the same", format, single, len(got), len(want))
			}
			tags := map[string]string{}
			for _, block := range stream.Blocks {
				if comment, is := block.Body.(*meta.VorbisComment); is {
					for _, tag := range comment.Tags {
						tags[tag[0]] = tag[1]
					}
				}
			}
			for name, value := range map[string]string{"ROOT_KEY": "48", "LOW_KEY": "37", "HIGH_KEY": "48",
				"LOOPSTART": "0", "LOOPLENGTH": "17385", "ARTIST": "", "ALBUM": "Yard"} {
				if tags[name] != value {
					t.Errorf("%s: %q, want %q", name, tags[name], value)
				}
			}
		}
	}
}

// A file of a tuned map tells the tuning, and how far each run of its keys is from equal semitones: here a fifth of
// 702 cents above and below D, worked out by hand.
func TestFLACTellsTheTuning(t *testing.T) {
	j := yard(t, func(j *Job) {
		tuning := mapping.DefaultTuning()
		tuning.ScaleKey = 62 // D; the reference stays A
		tuning.ScaleCents = []float64{100, 200, 300, 400, 500, 600, 702, 800, 900, 1000, 1100, 1200}
		j.Map.Tuning = &tuning
	})
	item := itemsOf(t, j)[0] // keys 25 to 36, of which A, key 33, is a fifth above D
	tags := map[string]string{}
	for _, tag := range j.flacTags(&item).Body.(*meta.VorbisComment).Tags {
		tags[tag[0]] = tag[1]
	}
	if want := "25-32: -2, 33-33: 0, 34-36: -2"; tags["TUNE_CENTS"] != want || tags["TUNING"] == "" {
		t.Errorf("TUNE_CENTS %q, want %q; TUNING %q", tags["TUNE_CENTS"], want, tags["TUNING"])
	}
}
