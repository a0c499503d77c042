// Package arrange lays conformed takes out in time and place, so that they become one stereo bed in which every one of
// them is heard.
//
// Bed is the walk. Each part becomes a material (material.go): does it strike or go on, where is its steady part, how
// long does it ring. Parts are set apart from what may be heard beside them (contrast.go). layOut gives every part its
// place and fills its stem: the parts take turns, one after the other comes forward and steps back (turns.go), in an
// order and as far back as lets the timbre change evenly (eventurns.go). For how long each leads, how loud, and what
// of it is brought out (bell.go), is chosen by hearing it beside the bed's company (audition.go). Held and noisy parts
// sound all the time (held.go), prolonged by crossfades between places that fit (prolong.go, splice.go) or, where
// short ones would beat so, by a phase vocoder (beating.go, vocoder.go); struck ones strike gestures while it is their
// turn (struck.go); a bed of few takes gets copies of them (double.go). Each stem is measured in auditory bands
// (bands.go) and levelled; where strokes leave gaps, what goes on comes up beneath (fill.go). The sum is steadied,
// brought to its loudness and kept under its ceiling (balance.go, limit.go).
//
// Contracts: a bed is exactly as long as asked for, and both its ends sound on, since beds are only heard crossfaded
// into one another. The same arguments give the same samples: all chance is seeded, and a take's own does not depend
// on its company. Safe from many goroutines.
//
// Sources: ITU-R BS.1770-5 (loudness, true peak); Glasberg & Moore 1990 (ERB bands); Laroche & Dolson 1999 (phase
// vocoder); Serra & Smith 1990 (noise of free phases); Audio EQ Cookbook, W3C Working Group Note 2021 (bells). When a
// take is heard says package hearing.
package arrange
