// Where the sound of a command goes: the options that name its file and its picture.

package main

import (
	"path/filepath"

	"github.com/spf13/pflag"

	"lapstrake/mapping/wav"
)

// outputOptions name the files that a rendered performance goes to.
type outputOptions struct {
	path    string
	format  string
	picture string
	json    bool
}

func (o *outputOptions) addFlags(flags *pflag.FlagSet) {
	flags.StringVarP(&o.path, "output", "o", "", "the WAV `FILE` to write")
	flags.StringVar(&o.format, "format", "24", "samples of the file: 16 (dithered), 24 or float")
	offer(flags, "format", "16", "24", "float")
	flags.StringVar(&o.picture, "picture", "",
		"a PNG `FILE` that shows the level over time and, for a chord, which bed leads when")
	flags.BoolVar(&o.json, "json", false, "print the results as JSON")
}

// validate checks the words. A command that only plays into a file needs one.
func (o *outputOptions) validate(needed bool) error {
	if _, err := wav.ParseFormat(o.format); err != nil {
		return wrongWords("--format: %w", err)
	}
	switch {
	case needed && o.path == "":
		return wrongWords("no file to write to: name one with -o OUT.wav")
	case o.picture != "" && o.path == "":
		return wrongWords("--picture shows what is rendered: name the WAV file too, with -o OUT.wav")
	case o.picture != "" && filepath.Clean(o.picture) == filepath.Clean(o.path):
		return wrongWords("--picture and -o name the same file, %s: choose another one", o.path)
	}
	return nil
}
