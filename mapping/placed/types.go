// Types in words.

package placed

import (
	"reflect"
	"strings"
)

// TypeOf says in words which type a field has in the structure that into points to: "a whole number". The structure
// names its fields by toml tags.
func TypeOf(into any, field string) string {
	at := reflect.TypeOf(into).Elem()
	for _, part := range strings.Split(field, ".") {
		name, _, isElement := strings.Cut(part, "[")
		for at.Kind() == reflect.Slice || at.Kind() == reflect.Map || at.Kind() == reflect.Pointer {
			at = at.Elem()
		}
		if at.Kind() != reflect.Struct {
			break
		}
		found := false
		for i := range at.NumField() {
			if tag, _, _ := strings.Cut(at.Field(i).Tag.Get("toml"), ","); tag == name {
				at, found = at.Field(i).Type, true
				break
			}
		}
		if !found {
			return "something else"
		}
		if isElement && at.Kind() == reflect.Slice {
			at = at.Elem()
		}
	}
	return inWords(at)
}

func inWords(t reflect.Type) string {
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch t.Kind() {
	case reflect.Bool:
		return "true or false, without quotes"
	case reflect.Int, reflect.Int64:
		return "a whole number"
	case reflect.Float64:
		return "a number"
	case reflect.Struct:
		return "a section of its own in brackets, with its fields on the lines after it"
	case reflect.Map:
		return `a table, such as { soft = ["one.wav", "two.wav"] }`
	case reflect.Slice:
		switch t.Elem().Kind() {
		case reflect.String:
			return `a list of texts, such as ["a", "b"]`
		case reflect.Struct:
			return "sections of its own in double brackets"
		}
		return "a list of numbers, such as [0, 0.5]"
	}
	return "a text in quotes"
}
