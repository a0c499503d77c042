// Small words and figures that the checks share.

package check

import (
	"math"
	"slices"
	"strings"
)

// median is the middle of values, 0 of none.
func median(values []float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	n := len(sorted)
	if n == 0 {
		return 0
	}
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}

// mean is the mean of values, 0 of none.
func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / max(float64(len(values)), 1)
}

// wordList joins words as a sentence does: a, b and c.
func wordList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// cycleLUFS is the loudness of a cycle at its root.
func (s *subject) cycleLUFS(zone, layer int) float64 {
	alone := s.silence()
	alone.add(s.spectrum(zone, layer), 1, 1, s.weights())
	return alone.lufs()
}

// layerLUFS is the median loudness of the cycles of a layer.
func (s *subject) layerLUFS(layer int) float64 {
	var all []float64
	for zone := range s.m.Zones {
		if lufs := s.cycleLUFS(zone, layer); !math.IsInf(lufs, -1) {
			all = append(all, lufs)
		}
	}
	return median(all)
}
