// What every command that plays a map takes: options, keys, output paths.

package main

import (
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/pflag"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/voices"
)

// playerOptions are what every command that plays a map takes.
type playerOptions struct {
	quality  string
	memoryMB int
	channel  channelChoice
}

func (o *playerOptions) addFlags(flags *pflag.FlagSet) {
	flags.StringVar(&o.quality, "quality", "standard", "resampling: economy, standard, high or best")
	offer(flags, "quality", "economy", "standard", "high", "best")
	flags.IntVar(&o.memoryMB, "memory", engine.DefaultMemoryBytes>>20, "`MB` of memory for the beginnings of cycles "+
		"and for reading ahead; half of it holds all beds where they fit")
}

func (o *playerOptions) settings() (engine.Settings, error) {
	quality, err := voices.ParseQuality(o.quality)
	if err != nil {
		return engine.Settings{}, wordsError{err}
	}
	if o.memoryMB < 1 || o.memoryMB > 1<<20 {
		return engine.Settings{}, wrongWords("--memory %d: expected 1 or more MB", o.memoryMB)
	}
	s := engine.Settings{Quality: quality, MemoryBytes: int64(o.memoryMB) << 20}
	o.channel.choose(&s)
	return s, nil
}

// openPlayer opens the map that project means, and its beds.
func (o *playerOptions) openPlayer(project string) (*engine.Engine, error) {
	settings, err := o.settings()
	if err != nil {
		return nil, err
	}
	path, err := mapping.Locate(project)
	if err != nil {
		return nil, err
	}
	return engine.Open(path, settings)
}

// parseKeys reads keys as numbers or names and says what it took.
func parseKeys(s streams, naming mapping.Naming, words []string) ([]int, error) {
	var keys []int
	for _, word := range words {
		key, err := naming.ParseKey(word)
		if err != nil {
			return nil, wordsError{err}
		}
		if word != fmt.Sprint(key) {
			s.notice("%s is key %d (middle C, key 60, is %s)", word, key, naming)
		}
		keys = append(keys, key)
	}
	return keys, nil
}

// checkOutput refuses an output path that is a project's own file or one of those being read, and one that is there
// already, unless force replaces it.
func checkOutput(out, dir string, sources []string, force bool) error {
	if out == "" {
		return nil
	}
	if err := project.CheckOutput(out, dir); err != nil {
		return err
	}
	target, err := os.Stat(out)
	if err != nil {
		return nil // not there yet
	}
	for _, source := range sources {
		if info, err := os.Stat(source); err == nil && os.SameFile(target, info) {
			return fmt.Errorf("%s: is read by this command: choose another output file", out)
		}
	}
	if !force && target.Mode().IsRegular() {
		return fmt.Errorf("%s: is there already: choose another name, or replace it with --force", out)
	}
	return nil
}

// sourcesOf lists the files that playing a project reads.
func sourcesOf(dir string, m *mapping.Map) ([]string, error) {
	path, err := mapping.Locate(dir)
	if err != nil {
		return nil, err
	}
	sources := []string{path}
	for _, bed := range m.BedPaths() {
		sources = append(sources, filepath.Join(filepath.Dir(path), filepath.FromSlash(bed)))
	}
	return sources, nil
}
