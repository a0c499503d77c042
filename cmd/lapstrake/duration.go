// Writes durations for people.

package main

import (
	"fmt"
	"math"
)

// minutes writes seconds as a person reads a clock.
func minutes(seconds float64) string {
	if seconds < 60 {
		return fmt.Sprintf("%.2f s", seconds)
	}
	whole := int64(math.Round(seconds))
	if whole < 3600 {
		return fmt.Sprintf("%d min %02d s", whole/60, whole%60)
	}
	return fmt.Sprintf("%d h %02d min %02d s", whole/3600, whole/60%60, whole%60)
}
