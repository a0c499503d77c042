package main

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// The README has a section with an example for every command, and its examples use commands and options that exist.
func TestReadmeTellsOfEveryCommand(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	readme := string(text)
	heading := regexp.MustCompile(`(?m)^### ([a-z, ]+):`)
	var told []string
	for _, match := range heading.FindAllStringSubmatch(readme, -1) {
		told = append(told, strings.Split(match[1], ", ")...)
	}
	for _, c := range commands() {
		if !slices.Contains(told, c.name) {
			t.Errorf("no section on %s", c.name)
		}
		if !strings.Contains(readme, "lapstrake "+c.name+" ") && !strings.Contains(readme, "lapstrake "+c.name+"\n") {
			t.Errorf("no example of %s", c.name)
		}
	}
	for _, match := range regexp.MustCompile("(?m)lapstrake ([a-z]+) ([^#|`\n]*)").FindAllStringSubmatch(readme, -1) {
		at := slices.IndexFunc(commands(), func(c command) bool { return c.name == match[1] })
		if at < 0 {
			continue // a sentence
		}
		forms := allForms(commands()[at])
		for _, word := range strings.Fields(match[2]) {
			if strings.HasPrefix(word, "-") && len(word) > 1 && !slices.Contains(forms, word) {
				t.Errorf("%q: %s knows no %s", match[0], match[1], word)
			}
		}
	}
}
