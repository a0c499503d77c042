// Rendering a performance on the maps that it was played on.

package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"slices"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/takes/decode"
)

// playedOn finds the maps of a performance again.
type playedOn struct {
	maps map[int]engine.PlayedMap
	dir  string // of the project that is rendered: the first map's
}

// open reads a score and opens its player.
func (o *renderOptions) open(s streams, project, path string) (score engine.Score, player *engine.Engine, err error) {
	if score, err = engine.ReadScore(path, mapping.New().RateHz); err != nil { // its maps tell the rate
		return score, nil, err
	}
	if player, err = o.openPlayerOf(s, project, &score); err != nil {
		return score, nil, err
	}
	if score, err = engine.ReadScore(path, player.Map().RateHz); err != nil {
		player.Close()
	}
	return score, player, err
}

// openPlayerOf opens a player for a score on the project's map as it is now; or, where the maps are changed while it
// plays, on all that it was played on: if asPlayed, or if the files are still what they were at its end.
func (o *renderOptions) openPlayerOf(s streams, project string, score *engine.Score) (*engine.Engine, error) {
	path, err := mapping.Locate(project)
	if err != nil {
		return nil, err
	}
	p := playedOn{score.MapsPlayed(), filepath.Dir(path)}
	if o.asPlayed && len(p.maps) == 0 {
		return nil, fmt.Errorf("--as-played: found no map in the score, expected one that `lapstrake play --record` " +
			"made")
	}
	if !o.asPlayed {
		if !score.ChangesMaps() {
			return o.player.openPlayer(project)
		}
		if why := p.changed(path); why != "" {
			s.notice("%s: the map as it is now plays throughout; --as-played plays the maps of the performance, "+
				"each in its time", why)
			return o.player.openPlayer(project)
		}
	}
	p.noticeBeds(s)
	settings, err := o.player.settings()
	if err != nil {
		return nil, err
	}
	first, err := p.open(0)
	if err != nil {
		return nil, err
	}
	settings.MostVoices = p.maps[0].Voices
	player, err := engine.OpenMap(first.Map, first.Dir, settings)
	if err != nil {
		return nil, err
	}
	player.Guide(p.open)
	return player, nil
}

// open gives a map by its number.
func (p *playedOn) open(number int) (engine.GuidedMap, error) {
	m, told := p.maps[number]
	if !told || m.Text == "" {
		return engine.GuidedMap{}, fmt.Errorf("the score does not tell of map %d: render it without --as-played",
			number)
	}
	played, err := mapping.Parse([]byte(m.Text), fmt.Sprintf("map %d of the performance", number))
	return engine.GuidedMap{Map: played, Dir: filepath.Dir(p.file(m)), Loaded: m.Loaded, Sound: m.Sound}, err
}

// file is where a map's file was, by the place of the first one.
func (p *playedOn) file(m engine.PlayedMap) string {
	path := filepath.FromSlash(m.Path)
	if filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(p.dir, path)
}

// last are the numbers of the maps that were opened last, one for each file.
func (p *playedOn) last() map[string]int {
	last := map[string]int{}
	for number, m := range p.maps {
		if before, seen := last[m.Path]; !seen || number > before {
			last[m.Path] = number
		}
	}
	return last
}

// changed says why the files are not those that the performance was played on at its end; "" where they are.
func (p *playedOn) changed(path string) string {
	for _, number := range p.last() {
		m := p.maps[number]
		file := p.file(m)
		if m.Path == p.maps[0].Path {
			file = path
		}
		now, err := mapping.Load(file)
		if err != nil {
			return err.Error()
		}
		then, err := p.open(number)
		if err != nil {
			return err.Error()
		}
		now.RateHz = then.RateHz // the output's
		text, err := now.Encode()
		if err != nil || !bytes.Equal(text, []byte(m.Text)) {
			return file + " is not what it was at the end of the performance"
		}
	}
	return ""
}

// noticeBeds says which beds are not those that were played.
func (p *playedOn) noticeBeds(s streams) {
	hashes := map[string]string{}
	var others, untold, instead []string
	for number, m := range p.maps {
		for _, bed := range m.Instead {
			if !slices.Contains(instead, bed) {
				instead = append(instead, bed)
			}
		}
		if len(m.Beds) == 0 {
			untold = append(untold, fmt.Sprint(number))
		}
		for bed, then := range m.Beds {
			path := filepath.Join(filepath.Dir(p.file(m)), filepath.FromSlash(bed))
			if _, read := hashes[path]; !read {
				hashes[path], _ = decode.Hash(path) // what cannot be read differs, and opening it says why
			}
			if hashes[path] != then && !slices.Contains(others, path) {
				others = append(others, path)
			}
		}
	}
	if len(others) > 0 {
		slices.Sort(others)
		s.notice("%s: not as played: another bed stands there now, and sounds", named(others))
	}
	if len(instead) > 0 {
		slices.Sort(instead)
		s.notice("%s: was replaced for a while, as by one take of it; the score does not keep that, and the bed "+
			"itself sounds", named(instead))
	}
	if len(untold) > 0 {
		slices.Sort(untold)
		s.notice("whether the beds of map %s are those that were played is not known: the performance ended before "+
			"they had been read", named(untold))
	}
}
