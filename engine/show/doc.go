// Package show finds what there is to see in the sound of a map: the cycles of a held chord and when they come back,
// which bed leads when, the level over time, and pictures of all that. The commands and the local page share it.
package show
