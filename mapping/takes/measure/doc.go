// Package measure finds the numbers of a take: how loud, how noisy, where its sound begins and ends, how its level
// moves, how bright and how wide it is, what pitch it has, and what kind of take that makes it.
//
// Take runs them in order. First come the levels of the channels as they are stored. The rest is measured on one
// channel, their mean, without what is said before and after the sound (withoutSpeech). findSounding finds onset and
// end by walking outward from where the sound certainly is, weighing each bin of a spectrum by how far the sound
// stands above the noise there; newTakeSpectrum averages one spectrum over the sounding part, which noise, brightness
// and bandwidth share; FindPitch looks for the fundamental. Last, kindOf decides whether the take is struck, held or
// noisy. Measures.Flags says what a builder should look at.
//
// Contracts: a pure function, safe from many goroutines, and the same numbers for the same samples. A number that a
// take does not have is NaN; −Inf is the level of nothing at all. Every field of Measures carries its unit in its
// name.
//
// Sources: ITU-R BS.1770-5 and EBU Tech 3341 (loudness, true peak); Glasberg & Moore 1990 (ERB bands); ISO 16 (pitch);
// the papers that FindPitch names. Thresholds that tell a builder what to look at are common practice and say so. The
// tests measure recordings of known pitch and sounds that are made to measure.
package measure
