// What is said of lines in lapstrake.toml that are no settings.

package project

import (
	"fmt"
	"strings"

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
	text := "no such setting: remove it or mend its spelling"
	nearest, least := "", 4 // more than three changed letters is another word
	for _, rule := range settingRules {
		if d := editDistance(field, rule.field); d < least {
			nearest, least = rule.field, d
		}
	}
	if nearest != "" {
		text = fmt.Sprintf("no such setting: remove it, or is %s meant?", nearest)
	}
	return text
}

// editDistance counts the letters to put in, take out or change from a to b (Levenshtein 1966).
func editDistance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		corner := row[0]
		row[0] = i + 1
		for j := range len(b) {
			changed := corner
			if a[i] != b[j] {
				changed++
			}
			corner = row[j+1]
			row[j+1] = min(changed, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
