// What is said of lines in lapstrake.toml that are no settings.

package project

import (
	"fmt"
	"strings"

	"lapstrake/mapping/nearest"
	"lapstrake/mapping/placed"
)

// expectedOf tells which values a setting may have.
func expectedOf(field string) string {
	settings := Default()
	expected := placed.TypeOf(&settings, field)
	if !strings.Contains(field, ".") {
		return "a section, [" + field + "], with its settings on the lines after it"
	}
	if rule, found := ruleOf(field); found && rule.expected() != "" {
		expected += ", " + rule.expected()
	}
	return expected
}

// unknownSetting tells of a setting that is none, with the nearest one that is.
func unknownSetting(field string) string {
	var fields []string
	for _, rule := range settingRules {
		fields = append(fields, rule.field)
	}
	if meant := nearest.Word(field, fields); meant != "" {
		return fmt.Sprintf("no such setting: remove it, or is %s meant?", meant)
	}
	return "no such setting: remove it or mend its spelling"
}
