// Checking settings: every problem at once.

package project

import (
	"errors"
	"fmt"
	"reflect"
	"slices"

	"lapstrake/mapping"
	"lapstrake/mapping/placed"
)

// Check returns every problem of the settings, joined, or nil. Each is a placed.Problem that names its field.
func (s *Settings) Check() error {
	problems := s.problems()
	errs := make([]error, len(problems))
	for i, p := range problems {
		errs[i] = p
	}
	return errors.Join(errs...)
}

func (s *Settings) problems() []placed.Problem {
	var all []placed.Problem
	told := map[string]bool{}
	add := func(field, format string, args ...any) {
		all = append(all, placed.Problem{Field: field, Text: fmt.Sprintf(format, args...)})
	}
	eachSetting(s, func(field string, value reflect.Value) {
		if text := checkValue(field, value); text != "" {
			add(field, "%s", text)
		}
	})
	s.checkNames(add)
	s.checkKeys(add)
	for i := range all {
		told[all[i].Field] = true
	}
	s.checkGrid(told, add)
	tuning := mapping.Tuning(s.Tuning)
	for _, p := range tuning.Check() {
		if field := "tuning." + p.Field; !told[field] {
			add(field, "%s", p.Text)
		}
	}
	if !told["beds.length_sec"] && !told["beds.overlap_sec"] && s.Beds.OverlapSec > s.Beds.LengthSec/2 {
		add("beds.overlap_sec", "%v: expected at most half of beds.length_sec, %v", s.Beds.OverlapSec,
			s.Beds.LengthSec/2)
	}
	if !told["beds.least_takes"] && !told["beds.most_takes"] && s.Beds.LeastTakes > s.Beds.MostTakes {
		add("beds.least_takes", "%d: expected no more than beds.most_takes, %d", s.Beds.LeastTakes, s.Beds.MostTakes)
	}
	if !told["beds.bright_move_semitones"] && !told["beds.soft_move_semitones"] &&
		s.Beds.BrightMoveSemitones > s.Beds.SoftMoveSemitones {
		add("beds.bright_move_semitones", "%v: expected no more than beds.soft_move_semitones, %v",
			s.Beds.BrightMoveSemitones, s.Beds.SoftMoveSemitones)
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
	if rule.pair {
		pair := value.Interface().([]float64)
		inRange := func(number float64) bool { return number >= rule.low && number <= rule.high }
		if len(pair) != 2 || !inRange(pair[0]) || !inRange(pair[1]) {
			return fmt.Sprintf("%v: expected %s", pair, rule.expected())
		}
		return ""
	}
	if rule.trigger && value.String() != "" {
		if _, err := ParseTrigger(value.String()); err != nil {
			return fmt.Sprintf("%q: expected %s", value.String(), rule.expected())
		}
	}
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
		for _, p := range mapping.CheckNames(list.names) {
			add(list.field+p.Field, "%s", p.Text)
		}
	}
	if n := len(s.Project.StrandTitles); n > 0 && n != len(s.Project.Strands) {
		add("project.strand_titles", "%d titles: expected one for each of the %d strands, or none", n,
			len(s.Project.Strands))
	}
}

// checkGrid adds what is wrong with the grid that the settings' own ranges have not told.
func (s *Settings) checkGrid(told map[string]bool, add addProblem) {
	problems := s.Grid.Problems()
	for _, p := range problems {
		if field := "grid." + p.Field; !told[field] {
			add(field, "%s", p.Text)
		}
	}
	if len(problems) > 0 || s.Grid.SpacingSemitones == 0 {
		return
	}
	silent := s.Grid.SilentKeys()
	if len(silent) > 0 && len(s.Grid.Roots()) > 0 {
		add("grid.root_at", "%q leaves key %d, of keys %d to %d, without a root from 0 to 127 that serves it: "+
			"narrow lowest_key and highest_key, or put roots elsewhere",
			s.Grid.RootAt, silent[0], s.Grid.LowestKey, s.Grid.HighestKey)
	} else if len(silent) > 0 {
		add("grid.root_key", "%d: no root from 0 to 127 serves keys %d to %d: widen them or the spacing",
			s.Grid.RootKey, s.Grid.LowestKey, s.Grid.HighestKey)
	}
}
