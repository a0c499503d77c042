// Package nearest finds the word that a misspelt one was meant to be.
package nearest

import "strings"

// mostChanged letters of a word of so many bytes may be wrong: one in three, and three at most. More make it another
// word.
func mostChanged(bytes int) int { return min(3, (bytes+1)/3) }

// Word is the one among words that needs the fewest changed letters to become word, the first of several; "" where
// each needs too many.
func Word(word string, words []string) string {
	found, least := "", mostChanged(len(word))+1
	for _, candidate := range words {
		if d := distance(word, candidate); d < least {
			found, least = candidate, d
		}
	}
	return found
}

// Closest is the one among words that needs the fewest changed letters to become word, however many, small and large
// letters alike; "" if there are no words, and empty ones do not count.
func Closest(word string, words []string) string {
	found, least := "", 0
	for _, candidate := range words {
		if d := distance(strings.ToLower(word), strings.ToLower(candidate)); candidate != "" &&
			(found == "" || d < least) {
			found, least = candidate, d
		}
	}
	return found
}

// distance counts the letters to put in, take out or change from a to b (Levenshtein 1966). Two neighbours that
// changed places count as one (Damerau 1964).
func distance(a, b string) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			changed := rows[i-1][j-1]
			if a[i-1] != b[j-1] {
				changed++
			}
			rows[i][j] = min(changed, rows[i-1][j]+1, rows[i][j-1]+1)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(a)][len(b)]
}
