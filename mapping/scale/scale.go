// Package scale reads tables of tunings in the text format that archives of scales use. It follows the format's
// published description ("Scala scale file format", huygens-fokker.org/scala/scl_format.html; from memory).
//
//	! a comment
//	An estuary pentatonic
//	 5
//	!
//	 9/8
//	 5/4
//	 701.955
//	 5/3
//	 2/1
package scale

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math"
	"math/big"
	"os"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Scale is a scale that repeats.
type Scale struct {
	Title string
	// Cents of its notes above its first, which is not listed, from the second on; at the last it repeats.
	Cents []float64
}

// What is read at most: a scale of more notes than a keyboard has keys cannot be played whole.
const (
	mostBytes = 1 << 20
	mostNotes = 128
)

// Read reads the file at path.
func Read(path string) (Scale, error) {
	file, err := os.Open(path)
	if err != nil {
		return Scale{}, err
	}
	defer file.Close()
	return Parse(file, path)
}

// Parse reads a scale; name stands for the file in errors, which tell the line, what was found and what was expected.
// A value with a point is cents, any other a ratio, such as 3/2 or 2; what follows a value on its line is left out, as
// the format has it. Texts that are not UTF-8 are taken for ISO 8859-1.
func Parse(r io.Reader, name string) (Scale, error) {
	data, err := io.ReadAll(io.LimitReader(r, mostBytes+1))
	if err != nil {
		return Scale{}, err
	}
	if len(data) > mostBytes {
		return Scale{}, fmt.Errorf("%s: more than %d kB: expected a text file that lists a scale", name, mostBytes>>10)
	}
	s, err := parse(data)
	if err != nil {
		return Scale{}, fmt.Errorf("%s: %w", name, err)
	}
	return s, nil
}

// lines are those of a file that are no comments.
type lines struct {
	*bufio.Scanner
	number int
}

// next is the next line; false at the end.
func (l *lines) next() (text string, some bool) {
	for l.Scan() {
		l.number++
		if text = strings.TrimRight(l.Text(), "\r"); !strings.HasPrefix(text, "!") {
			return text, true
		}
	}
	l.number++
	return "", false
}

// wrong is an error at the line that was read last.
func (l *lines) wrong(found, expected string) error {
	return fmt.Errorf("line %d: found %s, expected %s", l.number, found, expected)
}

func parse(data []byte) (s Scale, err error) {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	l := &lines{Scanner: bufio.NewScanner(bytes.NewReader(data))}
	title, some := l.next()
	if !some {
		return s, l.wrong("the end of the file", "a description of the scale, on a line that does not begin with !")
	}
	s.Title = utf8Of(strings.TrimSpace(title))
	text, some := l.next()
	words := strings.Fields(text)
	count := 0
	if len(words) > 0 {
		count, err = strconv.Atoi(words[0])
	}
	switch {
	case !some:
		return s, l.wrong("the end of the file", "the number of notes")
	case len(words) == 0 || err != nil:
		return s, l.wrong(strconv.Quote(text), "the number of notes, such as 12")
	case count < 1 || count > mostNotes:
		return s, l.wrong(fmt.Sprintf("%d notes", count), fmt.Sprintf("1 to %d, as many as there are keys", mostNotes))
	}
	for len(s.Cents) < count {
		text, some := l.next()
		if !some {
			return s, l.wrong(fmt.Sprintf("the end of the file after %d notes", len(s.Cents)),
				fmt.Sprintf("%d notes, as line 2 of those that are no comments says", count))
		}
		cents, ok := centsOf(text)
		if !ok {
			return s, l.wrong(strconv.Quote(text),
				"cents with a point, such as 701.955, or a ratio above 0, such as 3/2 or 2")
		}
		s.Cents = append(s.Cents, cents)
	}
	if last := s.Cents[count-1]; !(last > 0) {
		return s, l.wrong(fmt.Sprintf("%v cents for the last note", last), "more than 0: the scale repeats there")
	}
	return s, l.Err()
}

// mostCents bounds an interval: ten octaves.
const mostCents = 12000

// centsOf reads one note.
func centsOf(line string) (cents float64, ok bool) {
	words := strings.Fields(line)
	if len(words) == 0 {
		return 0, false
	}
	word := words[0]
	if strings.Contains(word, ".") {
		cents, err := strconv.ParseFloat(word, 64)
		return cents, err == nil && math.Abs(cents) <= mostCents
	}
	upper, lower, isRatio := strings.Cut(word, "/")
	above, ok1 := whole(upper)
	below, ok2 := new(big.Int).SetInt64(1), true
	if isRatio {
		below, ok2 = whole(lower)
	}
	if !ok1 || !ok2 {
		return 0, false
	}
	ratio, _ := new(big.Rat).SetFrac(above, below).Float64()
	cents = 1200 * math.Log2(ratio)
	return cents, math.Abs(cents) <= mostCents
}

// whole reads a whole number above 0 of at most 64 digits.
func whole(text string) (*big.Int, bool) {
	const mostDigits = 64
	if len(text) > mostDigits {
		return nil, false
	}
	n, ok := new(big.Int).SetString(text, 10)
	return n, ok && n.Sign() > 0
}

// utf8Of makes UTF-8 of a text in ISO 8859-1, whose bytes are the first code points; UTF-8 stays.
func utf8Of(text string) string {
	if utf8.ValidString(text) {
		return text
	}
	runes := make([]rune, len(text))
	for i := range len(text) {
		runes[i] = rune(text[i])
	}
	return string(runes)
}
