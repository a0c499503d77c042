// Package clean makes takes from many rooms alike, so that they can sound as one bed.
//
// Take does once what is the same for every bed: it trims the take to its sound (trim.go), mends clicks (declick.go),
// removes offset and rumble (rumble.go), takes mains hum out where it is not the take's own sound (hum.go), and
// reduces its noise (denoise.go, denoisenoise.go, denoisegate.go) where that does no harm (denoiseharm.go).
// Cleaned.Conform then fits it to one bed: it tunes and resamples in one pass (tune.go, mapping/sound), keeps the
// lowest partials where the builder wants no more (partials.go), and levels it (level.go).
//
// Contracts: the decoded sound is never changed. Equal arguments give equal samples. Both are safe from many
// goroutines; one Cleaned may serve many beds at a time. A take in which nothing sounds is ErrNoSound.
//
// Sources: ISO 16 (tuning); ITU-R BS.1770-5 (loudness); Oppenheim & Schafer, Discrete-Time Signal Processing (filters,
// overlap-save); Kaiser & Schafer 1980 (windows). How much is cleaned is a setting; its defaults are common practice.
package clean
