// Package plural writes counts of things for people.
package plural

import "fmt"

// Of writes 1 take, 2 takes and so on.
func Of(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
