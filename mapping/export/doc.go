// Package export writes a finished instrument by open standards alone: a set of WAV or AIFF files, a key map, a bank
// of Downloadable Sounds Level 2, instructions and credits. It reads the sound through the same frame sources as the
// player.
// It reads back what it has written and compares the two.
//
// The formats are the rows of one table in parts.go.
package export
