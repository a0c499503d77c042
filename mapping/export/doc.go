// Package export writes a finished instrument by open standards alone: a set of WAV or AIFF files, a key map, a bank of
// Downloadable Sounds Level 2, instructions and credits. It reads the sound through the same frame sources as
// the player, and reads what it has written back to compare the two.
package export
