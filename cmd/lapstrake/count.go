// Writes counts of things for people.

package main

import "fmt"

// count writes "1 take", "2 takes" and so on.
func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// people writes 1 person, 2 people.
func people(n int) string {
	if n == 1 {
		return "1 person"
	}
	return fmt.Sprintf("%d people", n)
}
