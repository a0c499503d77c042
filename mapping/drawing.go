package mapping

import (
	"fmt"
	"strings"
)

// Drawing draws the ranks over the keys from lowest to highest as text, a column
// a key: zones as lines that end at their seams, roots as ●, and under them how
// many zones each key sounds.
func (m *Map) Drawing(lowest, highest int) string {
	var ranks []string
	rows := map[string][]rune{}
	counts := make([]int, highest-lowest+1)
	for _, z := range m.Zones {
		row, found := rows[z.Rank]
		if !found {
			row = []rune(strings.Repeat(" ", len(counts)))
			rows[z.Rank] = row
			ranks = append(ranks, z.Rank)
		}
		for key := max(z.Low, lowest); key <= min(z.High, highest); key++ {
			counts[key-lowest]++
			row[key-lowest] = zoneRune(z, key)
		}
	}
	var text strings.Builder
	line := func(label, cells string) {
		fmt.Fprintf(&text, "%-8s %s\n", label, strings.TrimRight(cells, " "))
	}
	line("", m.octaveRow(lowest, highest))
	for _, rank := range ranks {
		line("rank "+rank, string(rows[rank]))
	}
	var sums strings.Builder
	for _, n := range counts {
		sums.WriteString(countRune(n))
	}
	line("zones", sums.String())
	return text.String()
}

func zoneRune(z Zone, key int) rune {
	switch {
	case key == z.Root:
		return '●'
	case z.Low == z.High:
		return '│'
	case key == z.Low:
		return '├'
	case key == z.High:
		return '┤'
	}
	return '─'
}

func countRune(n int) string {
	switch {
	case n == 0:
		return "·"
	case n > 9:
		return "+"
	}
	return fmt.Sprint(n)
}

// octaveRow names every C at its column.
func (m *Map) octaveRow(lowest, highest int) string {
	row := []rune(strings.Repeat(" ", highest-lowest+8))
	for key := lowest; key <= highest; key++ {
		if key%12 == 0 {
			copy(row[key-lowest:], []rune(m.MiddleC.Name(key)))
		}
	}
	return string(row)
}
