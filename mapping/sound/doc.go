// Package sound is the arithmetic that all parts of the program share: decibels, keys and hertz, auditory bands,
// loudness and true peak, spectra, filter sections, windows, resampling. It knows no file, no take and no map.
//
// Two rules hold for all of it. Samples are 32-bit floats with full scale ±1, one slice a channel; arithmetic is done
// in 64 bits. A name says what its number is: an amplitude and a power have decibels of their own (AmplitudeDB,
// PowerDB), and mean squares are powers.
//
// What a well-kept library does is left to it: Fourier transforms come from gonum. Resampling is our own, since tuning
// takes without images is what the program is for.
//
// Sources: ITU-R BS.1770-5 and EBU Tech 3341 (Meter, KWeight, TruePeak); ISO 16 and MIDI 1.0 (KeyHz); Glasberg & Moore
// 1990 (ERBNumber); Oppenheim & Schafer, Discrete-Time Signal Processing (Section); Kaiser & Schafer 1980 (Resample).
package sound
