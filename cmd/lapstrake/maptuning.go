// The tuning that map is given.

package main

import (
	"fmt"
	"strconv"
	"strings"

	"lapstrake/mapping"
	"lapstrake/mapping/scale"
)

// equalTuning is the word for the tuning of ISO 16.
const equalTuning = "equal"

// readTuning reads the options about tuning. A scale takes the place of all that the settings said of keys one by one.
func (o *mapOptions) readTuning(s streams, naming mapping.Naming) error {
	t := &o.given.Tuning
	if o.tuning != equalTuning {
		read, err := scale.Read(o.tuning)
		if err != nil {
			return fmt.Errorf("--tuning: %w", err)
		}
		t.Title, t.ScaleCents = read.Title, read.Cents
	}
	if o.flags.Changed("scale-key") {
		keys, err := parseKeys(s, naming, []string{o.scaleKey})
		if err != nil {
			return err
		}
		t.ScaleKey = keys[0]
	}
	if o.flags.Changed("reference") {
		word, hz, _ := strings.Cut(o.reference, "=")
		frequency, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(hz), "Hz"), 64)
		if err != nil {
			return wrongWords("--reference %q: expected a key and its frequency, such as A4=442", o.reference)
		}
		keys, err := parseKeys(s, naming, []string{word})
		if err != nil {
			return err
		}
		t.ReferenceKey, t.ReferenceHz = keys[0], frequency
	}
	tuning := mapping.Tuning(*t)
	for _, problem := range tuning.Check() {
		return wrongWords("tuning.%s: %s", problem.Field, problem.Text)
	}
	return nil
}
