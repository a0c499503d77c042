// Where the sound of a command goes: the options that name its file and its picture.

package main

import (
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"lapstrake/mapping/wav"
)

// outputOptions name the files that a rendered performance goes to.
type outputOptions struct {
	path    string
	format  string
	picture string
	force   bool
	json    bool
}

func (o *outputOptions) addFlags(flags *pflag.FlagSet) {
	flags.StringVarP(&o.path, "output", "o", "",
		"the WAV `FILE` to write; - writes the sound to standard output, and the results to standard error")
	flags.StringVar(&o.format, "format", "24", "samples of the file: 16 (dithered), 24 or float")
	offer(flags, "format", "16", "24", "float")
	flags.StringVar(&o.picture, "picture", "",
		"a PNG or SVG `FILE` that shows level and bands over time and, for a chord, who is heard "+
			"and the course of its cycles")
	flags.BoolVar(&o.force, "force", false, "replace files that are there already; never those of a project")
	flags.BoolVar(&o.json, "json", false, "print the results as JSON")
}

// validate checks the words. A command that only plays into a file needs one.
func (o *outputOptions) validate(needed bool) error {
	if _, err := wav.ParseFormat(o.format); err != nil {
		return wrongWords("--format: %w", err)
	}
	switch ending := strings.ToLower(filepath.Ext(o.path)); {
	case slices.Contains(otherSounds, ending):
		return wrongWords("-o %s: only WAV is written: name it %s.wav, and let another program make %s of it",
			o.path, strings.TrimSuffix(o.path, filepath.Ext(o.path)), strings.ToUpper(ending[1:]))
	case slices.Contains(otherPictures, strings.ToLower(filepath.Ext(o.picture))):
		return wrongWords("--picture %s: only PNG and SVG are written: name it %s.png", o.picture,
			strings.TrimSuffix(o.picture, filepath.Ext(o.picture)))
	case needed && o.path == "":
		return wrongWords("no file to write to: name one with -o OUT.wav")
	case o.picture != "" && o.path == "":
		return wrongWords("--picture shows what is rendered: name the WAV file too, with -o OUT.wav")
	case o.picture != "" && filepath.Clean(o.picture) == filepath.Clean(o.path):
		return wrongWords("--picture and -o name the same file, %s: choose another one", o.path)
	}
	return nil
}

// Endings of files that are not written, though many programs write them.
var (
	otherSounds = strings.Fields(".mp3 .flac .ogg .oga .opus .m4a .mp4 .aac .aif .aiff .aifc .wma .caf .w64 .au " +
		".snd .ac3 .mka .webm")
	otherPictures = strings.Fields(".jpg .jpeg .gif .webp .pdf .bmp .tif .tiff")
)

// standardOutput is what results and errors call the sound's way out when it is no file.
const standardOutput = "standard output"

func (o *outputOptions) toStandardOutput() bool { return o.path == "-" }

// divide gives where the sound goes and where everything else does: sound and results never share a pipe.
func (o *outputOptions) divide(s streams) (io.Writer, streams, error) {
	if !o.toStandardOutput() {
		return nil, s, nil
	}
	if isTerminal(s.out) {
		return nil, s, wrongWords("-o -: standard output is a terminal: lead it into a program or a file, such as | " +
			"PROGRAM or > OUT.wav")
	}
	return s.out, streams{s.notices, s.notices}, nil
}

// guard refuses files that must not be written over: those of a project, those in sources, and, without --force, any
// other.
func (o *outputOptions) guard(dir string, sources []string) error {
	for _, out := range []string{o.path, o.picture} {
		if out == "-" {
			continue // standard output
		}
		if err := checkOutput(out, dir, sources, o.force); err != nil {
			return err
		}
	}
	return nil
}
