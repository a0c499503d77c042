// Keeping nudges in the map's file, whose comments and order are a person's.

package mapping

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"reflect"

	"lapstrake/mapping/placed"
	"lapstrake/mapping/whole"
)

// nudgeField is one line of a zone that a nudge may change.
type nudgeField struct {
	name string
	of   func(*Zone) any
}

var nudgeFields = []nudgeField{
	{"start", func(z *Zone) any { return z.Start }},
	{"start_kept", func(z *Zone) any { return z.StartKept }},
	{"level_db", func(z *Zone) any { return z.LevelDB }},
	{"tune_cents", func(z *Zone) any { return z.TuneCents }},
	{"silent", func(z *Zone) any { return z.Silent }},
}

// ChangedMeanwhileError says that a zone is not in the file as it was when its nudge was tried.
type ChangedMeanwhileError struct {
	Path        string
	Line        int // 0: the zone is not there
	Zone        ZoneName
	Field       string
	Found, Then string
}

func (e *ChangedMeanwhileError) Error() string {
	if e.Line == 0 {
		return fmt.Sprintf("%s: rank %s, root %d: found no such zone any more, or several: nothing is kept; try it "+
			"anew on the map as it is", e.Path, e.Zone.Rank, e.Zone.Root)
	}
	return fmt.Sprintf("%s:%d: rank %s, root %d: %s was changed meanwhile: found %s, expected %s: nothing is kept; "+
		"try it anew on the map as it is", e.Path, e.Line, e.Zone.Rank, e.Zone.Root, e.Field, e.Found, e.Then)
}

// KeepNudges writes nudges into the map's file at path and changes nothing else in it: comments, order and layout
// stay. was is the map that they were tried on. Where a line that is to change is another one by now, it is a
// *ChangedMeanwhileError, and nothing is written. A file that only the program has written counts as such on: the next
// build makes it anew and takes the nudges over.
func KeepNudges(path string, was *Map, nudges map[ZoneName]Nudge) error {
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	found, err := Parse(data, path)
	if err != nil {
		return err
	}
	wanted, err := found.Nudged(onlyChanges(nudges, was, found))
	if err != nil {
		return fmt.Errorf("%s: not written: %w", path, err)
	}
	changed := data
	for name := range nudges {
		if changed, err = setNudge(changed, path, was, found, wanted, name); err != nil {
			return err
		}
	}
	after, err := Parse(changed, path)
	if err == nil && !reflect.DeepEqual(after, wanted) {
		err = errors.New("its zones do not stand in tables of their own ([[zones]])")
	}
	if err != nil {
		return fmt.Errorf("%s: nudges cannot be kept in this file: %w; write them there by hand", path, err)
	}
	if isGenerated(data) {
		_, body, _ := bytes.Cut(changed, []byte("\n"))
		changed = append([]byte(generatedMark+digest(body)+"\n"), body...)
	}
	if now, err := os.ReadFile(path); err != nil || !bytes.Equal(now, data) {
		return errors.Join(err, fmt.Errorf("%s: was written by somebody else this very moment: nothing is kept; keep "+
			"it once more", path))
	}
	return whole.Write(path, changed)
}

// onlyChanges leaves what a nudge does not change as it was found.
func onlyChanges(nudges map[ZoneName]Nudge, was, found *Map) map[ZoneName]Nudge {
	changes := map[ZoneName]Nudge{}
	for name, to := range nudges {
		then, at := was.ZoneNamed(name), found.ZoneNamed(name)
		if then < 0 || at < 0 {
			continue
		}
		before, now := was.Zones[then].Nudge(), found.Zones[at].Nudge()
		changes[name] = Nudge{
			changeOf(before.Start, to.Start, now.Start), changeOf(before.LevelDB, to.LevelDB, now.LevelDB),
			changeOf(before.TuneCents, to.TuneCents, now.TuneCents), changeOf(before.Silent, to.Silent, now.Silent),
		}
	}
	return changes
}

func changeOf[T comparable](before, to, now T) T {
	if to == before {
		return now
	}
	return to
}

// setNudge changes the lines of one zone.
func setNudge(data []byte, path string, was, found, wanted *Map, name ZoneName) ([]byte, error) {
	then, at := was.ZoneNamed(name), found.ZoneNamed(name)
	if then < 0 || at < 0 {
		return nil, &ChangedMeanwhileError{Path: path, Zone: name}
	}
	before, now, to := &was.Zones[then], &found.Zones[at], &wanted.Zones[at]
	for _, field := range nudgeFields {
		from, next, old := field.of(now), field.of(to), field.of(before)
		if from == next {
			continue
		}
		where := fmt.Sprintf("zones[%d].%s", at, field.name)
		if from != old {
			document, err := placed.Read(data, path)
			if err != nil {
				return nil, err
			}
			return nil, &ChangedMeanwhileError{Path: path, Line: document.Line(where), Zone: name, Field: field.name,
				Found: fmt.Sprint(from), Then: fmt.Sprint(old)}
		}
		var err error
		if data, err = placed.Set(data, where, next); err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
	}
	return data, nil
}
