// A terminal as a model: what stands on it after the codes that the player writes.

package main

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// screen is a terminal of a given size that knows the few codes that the player uses (ECMA-48). It keeps all rows, as
// one that scrolls does in its history.
type screen struct {
	columns, height int
	rows            [][]rune
	row, at         int
	most            int // columns ever written to in a row
}

func (s *screen) Write(text []byte) (int, error) {
	for rest := string(text); rest != ""; {
		if code, found := strings.CutPrefix(rest, "\x1b["); found {
			end := strings.IndexFunc(code, func(r rune) bool { return r >= '@' })
			s.control(code[:end], code[end])
			rest = code[end+1:]
			continue
		}
		r, size := utf8.DecodeRuneInString(rest)
		switch r {
		case '\r':
			s.at = 0
		case '\n': // straight down, as in raw mode
			s.row++
			for len(s.rows) <= s.row {
				s.rows = append(s.rows, nil)
			}
		default:
			s.put(r)
		}
		rest = rest[size:]
	}
	return len(text), nil
}

// secondHalf stands in the second column of a wide character.
const secondHalf = '\uFFFF'

func (s *screen) control(parameters string, final byte) {
	switch code := parameters + string(final); {
	case final == 'A':
		up := 0
		fmt.Sscan(parameters, &up)
		s.row -= up
		if s.row < 0 || s.height > 0 && up >= s.height {
			panic("the cursor leaves the screen")
		}
	case code == "K":
		row := &s.rows[s.row]
		*row = (*row)[:min(s.at, len(*row))]
	case code == "J":
		row := &s.rows[s.row]
		*row = (*row)[:min(s.at, len(*row))]
		s.rows = s.rows[:s.row+1]
	case code == "2J":
		s.rows = [][]rune{nil}
	case code == "H":
		s.row, s.at = 0, 0
	default:
		panic("a code that is not expected: " + code)
	}
}

func (s *screen) put(r rune) {
	wide := columnsOf(string(r))
	if s.at+wide >= s.columns {
		panic("the last column is written to, after which some terminals wrap: " + s.String())
	}
	row := &s.rows[s.row]
	for len(*row) < s.at+wide {
		*row = append(*row, ' ')
	}
	if wide > 0 {
		(*row)[s.at] = r
	}
	if wide == 2 {
		(*row)[s.at+1] = secondHalf
	}
	s.at += wide
	s.most = max(s.most, s.at)
}

func (s *screen) String() string {
	var lines []string
	for _, row := range s.rows {
		lines = append(lines, strings.TrimRight(strings.ReplaceAll(string(row), string(secondHalf), ""), " "))
	}
	return strings.Join(lines, "\n")
}
