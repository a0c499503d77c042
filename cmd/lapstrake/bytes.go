// Reads and writes sizes in bytes.

package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// byteUnits are the units that parseBytes reads, in small letters; without a unit a number counts bytes.
var byteUnits = map[string]float64{
	"": 1, "b": 1,
	"kb": 1e3, "mb": 1e6, "gb": 1e9,
	"kib": 1 << 10, "mib": 1 << 20, "gib": 1 << 30,
}

// parseBytes reads a size: a number and one of byteUnits in any case, such as 50MB or 1.5 GiB.
func parseBytes(text string) (int64, error) {
	number := strings.TrimRight(text, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ ")
	unitBytes, known := byteUnits[strings.ToLower(strings.TrimSpace(text[len(number):]))]
	size, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if bytes := size * unitBytes; known && err == nil && bytes >= 1 && bytes < math.MaxInt64 {
		return int64(bytes), nil
	}
	return 0, fmt.Errorf("%q: expected a size such as 50MB, 1.5GB or 800 kB", text)
}

// megabytes writes a size in millions of bytes.
func megabytes(bytes int64) string { return fmt.Sprintf("%.0f MB", float64(bytes)/1e6) }
