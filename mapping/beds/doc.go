// Package beds makes the finished beds of a project from its takes.
//
// Settings are what lapstrake.toml says; every setting there has a default, and its comment tells its unit and range.
// Assign chooses takes for each bed: every take gets a place, every bed enough takes, and none is moved farther from
// its pitch than it must be. Conform makes the takes of a bed alike in pitch, level and cleanness; Arrange lets them
// take turns; Build renders each bed whose takes or settings have changed, writes the map, and notes beside it for how
// long every take is heard. NewPlan tells beforehand what all of that will take.
//
// The same takes and settings give the same beds, byte for byte.
package beds
