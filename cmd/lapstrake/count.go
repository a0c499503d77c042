// Writes counts of things for people.

package main

import (
	"fmt"

	"lapstrake/mapping/plural"
)

// count writes "1 take", "2 takes" and so on.
var count = plural.Of

// people writes 1 person, 2 people.
func people(n int) string {
	if n == 1 {
		return "1 person"
	}
	return fmt.Sprintf("%d people", n)
}
