// Changing single settings in lapstrake.toml, whose comments and layout are a person's.

package project

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"

	"lapstrake/mapping/placed"
	"lapstrake/mapping/whole"
)

// Keep writes the values that s has for some fields, such as grid.ranks, into the settings file of the project in dir,
// and changes nothing else in it. Where there is no file, it writes all of s.
func (s *Settings) Keep(dir string, fields []string) error {
	path := filepath.Join(dir, SettingsFile)
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return s.Save(dir)
	}
	if err != nil {
		return err
	}
	before, err := Parse(data, path)
	if err != nil {
		return err
	}
	for _, field := range fields {
		value := s.valueOf(field)
		if sameValue(value, before.valueOf(field)) {
			continue
		}
		if data, err = placed.Set(data, field, value); err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
	}
	after, err := Parse(data, path)
	for _, field := range fields {
		if err == nil && !sameValue(after.valueOf(field), s.valueOf(field)) {
			err = errors.New("it does not stand in a section of its own")
		}
		if err != nil {
			return fmt.Errorf("%s: %s cannot be changed in this file: %w; write %v there by hand", path, field, err,
				s.valueOf(field))
		}
	}
	return whole.Write(path, data)
}

// valueOf is the value of a field; nil is none.
func (s *Settings) valueOf(field string) (found any) {
	eachSetting(s, func(name string, value reflect.Value) {
		if name == field {
			found = value.Interface()
		}
	})
	return found
}

// sameValue takes a list of nothing and no list for the same.
func sameValue(a, b any) bool {
	if x, y := reflect.ValueOf(a), reflect.ValueOf(b); x.Kind() == reflect.Slice && x.Len() == 0 {
		return y.Kind() == reflect.Slice && y.Len() == 0
	}
	return reflect.DeepEqual(a, b)
}
