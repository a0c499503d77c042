package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// parseBytes reads a size: a number and B, kB, MB or GB (powers of 1000), KiB, MiB or GiB (of 1024), in any case.
func parseBytes(text string) (int64, error) {
	number := strings.TrimRight(text, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ ")
	factor, known := map[string]float64{"": 1, "b": 1, "kb": 1e3, "mb": 1e6, "gb": 1e9, "kib": 1 << 10, "mib": 1 << 20, "gib": 1 << 30}[strings.ToLower(strings.TrimSpace(text[len(number):]))]
	size, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if bytes := size * factor; known && err == nil && bytes >= 1 && bytes < math.MaxInt64 {
		return int64(bytes), nil
	}
	return 0, fmt.Errorf("%q: expected a size such as 50MB, 1.5GB or 800 kB", text)
}
