// Package hearing tells what an ear makes of sounds that sound together: how much each excites which auditory band,
// from where on it is heard, which of them are heard beside the others, and how loud each is then.
//
// A Measurer turns sound into a Course: its power in bands of half an ERB, block by block. A Note plays courses as a
// player plays cycles, moved in pitch, each from its own start, and tells of every take in it when it is heard and how
// many dB it lacks when it is not. PartialSones says how loud a sound is within others.
//
// Timbre is a sound as levels in mel bands over time: how much it changes, at which rates, and what of it sounds the
// same again. AttackSec tells how a note sets in, NoiseFloor what of a sound never goes away between its partials.
//
// What is simplified, and by what sources:
//
//   - Bands are half an ERB wide (Glasberg & Moore 1990). What a sound excites beside its own band falls by 12 dB an
//     ERB towards high frequencies and by 27 dB towards low ones. These are about the skirts of Terhardt (1979: 27 dB
//     a critical band below, 24 + 230 Hz/f − 0.2 L above; from memory) at the middle levels at which notes sound;
//     that the upper skirt grows with the level is left out.
//   - The threshold in quiet is Terhardt's formula (1979).
//   - Partial loudness is that of Moore, Glasberg & Baer (1997: J. Audio Eng. Soc. 45, 224–240; equations from
//     memory), with the gain G of 1 that they use from 500 Hz up: below it, the threshold alone says how deaf the
//     ear is.
//   - Nothing masks what comes before or after it, and both ears hear the sum of left and right: that a sound stands
//     out by its place is left out.
package hearing
