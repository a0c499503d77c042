// Package show finds what there is to see in the sound of a map: the cycles of a held chord, their course and returns,
// which bed leads when, the level over time. It draws all that, and curves over the keyboard, a controller or time, as
// PNG, as SVG, and for a page in light and dark. The commands, the checks and the local page share it.
package show
