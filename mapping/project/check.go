// Checking settings: every problem at once.

package project

import (
	"errors"
	"fmt"
	"reflect"
	"slices"

	"lapstrake/mapping"
)

// Check returns every problem of the settings, joined, or nil. Each is a mapping.Problem that names its field.
func (s *Settings) Check() error {
	problems := s.problems()
	errs := make([]error, len(problems))
	for i, p := range problems {
		errs[i] = p
	}
	return errors.Join(errs...)
}

func (s *Settings) problems() []mapping.Problem {
	var all []mapping.Problem
	told := map[string]bool{}
	add := func(field, format string, args ...any) {
		all = append(all, mapping.Problem{Field: field, Text: fmt.Sprintf(format, args...)})
	}
	eachSetting(s, func(field string, value reflect.Value) {
		if text := checkValue(field, value); text != "" {
			add(field, "%s", text)
		}
	})
	s.checkNames(add)
	s.checkGrid(add)
	for i := range all {
		told[all[i].Field] = true
	}
	if !told["beds.length_sec"] && !told["beds.overlap_sec"] && s.Beds.OverlapSec > s.Beds.LengthSec/2 {
		add("beds.overlap_sec", "%v: expected at most half of beds.length_sec, %v", s.Beds.OverlapSec, s.Beds.LengthSec/2)
	}
	if !told["beds.least_takes"] && !told["beds.most_takes"] && s.Beds.LeastTakes > s.Beds.MostTakes {
		add("beds.least_takes", "%d: expected no more than beds.most_takes, %d", s.Beds.LeastTakes, s.Beds.MostTakes)
	}
	if !told["beds.bright_move_semitones"] && !told["beds.soft_move_semitones"] && s.Beds.BrightMoveSemitones > s.Beds.SoftMoveSemitones {
		add("beds.bright_move_semitones", "%v: expected no more than beds.soft_move_semitones, %v", s.Beds.BrightMoveSemitones, s.Beds.SoftMoveSemitones)
	}
	return all
}

// eachSetting calls do for every setting with its field, such as beds.length_sec.
func eachSetting(s *Settings, do func(field string, value reflect.Value)) {
	sections := reflect.ValueOf(s).Elem()
	for i := range sections.NumField() {
		section, name := sections.Field(i), sections.Type().Field(i).Tag.Get("toml")
		for j := range section.NumField() {
			do(name+"."+section.Type().Field(j).Tag.Get("toml"), section.Field(j))
		}
	}
}

// checkValue checks a setting against its rule. The comparison is written so that a NaN fails it.
func checkValue(field string, value reflect.Value) string {
	rule, _ := ruleOf(field)
	if rule.isNumber() {
		number := 0.0
		if value.CanInt() {
			number = float64(value.Int())
		} else {
			number = value.Float()
		}
		if !(number >= rule.low && number <= rule.high) {
			return fmt.Sprintf("%v: expected %s", number, rule.expected())
		}
	}
	if len(rule.words) > 0 && !slices.Contains(rule.words, value.String()) {
		return fmt.Sprintf("%q: expected %s", value.String(), rule.expected())
	}
	return ""
}

type addProblem func(field, format string, args ...any)

func (s *Settings) checkNames(add addProblem) {
	for _, list := range []struct {
		field string
		names []string
	}{{"project.layers", s.Project.Layers}, {"project.strands", s.Project.Strands}} {
		if len(list.names) == 0 || len(list.names) > 16 {
			add(list.field, "%d names: expected 1 to 16", len(list.names))
		}
		for i, name := range list.names {
			// What a bed's file name can hold is what a layer or strand may be called.
			bed, err := mapping.ParseBedName(name + "-" + name + "-k000.wav")
			if err != nil || bed.Layer != name || bed.Strand != name {
				add(list.field, "%q: expected small letters and digits, beginning with a letter", name)
			}
			if slices.Index(list.names, name) < i {
				add(list.field, "%q stands twice: take one away", name)
			}
		}
	}
	if n := len(s.Project.StrandTitles); n > 0 && n != len(s.Project.Strands) {
		add("project.strand_titles", "%d titles: expected one for each of the %d strands, or none", n, len(s.Project.Strands))
	}
}

func (s *Settings) checkGrid(add addProblem) {
	g := s.Grid
	for _, start := range g.Starts {
		if !(start >= 0 && start < 1) {
			add("grid.starts", "%v: expected turns from 0 up to, not including, 1 (0.5 is half-way round the cycle)", start)
		}
	}
	if g.Lowest > g.Highest {
		add("grid.lowest_key", "%d is above grid.highest_key, %d: expected it at or below", g.Lowest, g.Highest)
		return
	}
	if g.Ranks < 1 || g.Spacing < 1 {
		return // told by their ranges
	}
	if g.Spacing%g.Ranks != 0 {
		add("grid.spacing_semitones", "%d does not divide into %d ranks: expected a multiple of the ranks, such as %d",
			g.Spacing, g.Ranks, (g.Spacing/g.Ranks+1)*g.Ranks)
		return
	}
	silent := s.Grid.silentKeys()
	if len(silent) > 0 && len(s.Grid.Roots()) > 0 {
		add("grid.root_at", "%q leaves key %d, of keys %d to %d, without a root from 0 to 127 that serves it: narrow lowest_key and highest_key, or put roots elsewhere",
			g.RootAt, silent[0], g.Lowest, g.Highest)
	} else if len(silent) > 0 {
		add("grid.root_key", "%d: no root from 0 to 127 serves keys %d to %d: widen them or the spacing", g.RootKey, g.Lowest, g.Highest)
	}
}
