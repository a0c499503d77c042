package project

// What lies where in a project folder; mapping.FileName is the map's.
const (
	SettingsFile     = "lapstrake.toml"
	TakesFolder      = "takes"            // as received; never written to
	SheetFile        = "takes.csv"        // a row for each take
	ContributorsFile = "contributors.csv" // a row for each contributor: what holds for all their takes
	BedsFolder       = "beds"             // finished beds
	// in BedsFolder: what each bed was made from; everything is built anew without it
	BuiltFile = "built.json"
	HeardFile = "heard.csv" // for how long each take is heard in each of its beds

	WaivedFile = "waived.csv" // findings of check that the builder lets stand

	MarksFile   = "marks.csv" // moments that the builder kept while playing: a row for each
	MarksFolder = "marks"     // what each of them sounds again by

	CheckedFolder = ".lapstrake-checked" // measures of check, and its last report; without it all is measured again

	// takes that somebody wants back: a numbered folder for each withdrawal, with their rows
	WithdrawnFolder = "withdrawn"
)
