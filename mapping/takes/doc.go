// Package takes hears the recordings that people contributed: it decodes them, measures them and keeps
// the take sheet. A take is opened read-only and never changed.
//
// Decode goes by what a file holds, not by its name: WAV of every kind (mapping/wav), AIFF and AIFF-C,
// FLAC, MP3; anything else is given to ffmpeg where it is installed. All of it ends as a Sound: one slice
// of 32-bit floats a channel, full scale ±1. What is cut short or damaged gives what is there and says so;
// what declares more than it holds costs no memory.
package takes
