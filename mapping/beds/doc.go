// Package beds makes the beds of a project from its takes.
//
// The way of a take to its beds, a file each:
//   - build.go: Build reads settings and sheet and calls what follows.
//   - candidates.go: which takes may be used, and as what.
//   - beds/assign: which take goes into which bed.
//   - recipe.go: all that a bed is made from; the same recipe gives the same bed.
//   - record.go, recordbed.go: beds/built.json, the build's memory, which tells the beds that need not be made again.
//   - company.go: what sounds beside each bed, by which its takes are arranged; the record remembers it.
//   - darker.go: by how much beds are darkened beside the next louder layer; the record remembers that too.
//   - render.go: one bed, on one processor: decode and clean its takes (shelf.go keeps them while neighbouring beds
//
// use
//
//	  them), conform them (beds/clean), arrange them (beds/arrange), write the file.
//	- evenness.go: whether the bed has the levels that it was to have.
//	- heard.go, heardfile.go: the ledger of who is heard where, heard.csv.
//
// At the end Build writes the map that plays the beds. plan.go tells beforehand what a build would make and take.
//
// Contracts: the same takes and settings give the same beds, byte for byte, on one processor or many. A file is there
// whole or not at all; an interrupted build leaves the beds that are done. Takes are only read. Beds that somebody put
// there by hand are neither replaced nor removed. Raise renderVersion whenever the same recipe gives another bed.
package beds
