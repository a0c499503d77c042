// Package check measures a map as a listener would and says what they will complain about: where, by how much, how
// sure that is, and what cures it.
//
// A check is a row of the table in parts.go: it reads a subject and gives a PartReport with figures, which tell how
// things stand, and findings, which stand beyond a limit of the project's settings. Most figures come from the spectra
// of the cycles over a whole turn, moved and summed as a key moves and sums them, so that all keys at all dynamics
// cost no more than one reading of the beds.
package check
