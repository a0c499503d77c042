// Package assign gives takes to beds.
//
// A take may go into many beds and a bed holds several takes, so this is a transport problem: newCosts says what each
// take costs in each bed (how far it is moved from its own pitch, whether layer and strand are its own), flow finds
// the sharing of least cost, and search improves it by single changes, since a flow cannot weigh which takes are
// together. What outweighs what stands at the top of cost.go: a take that is used before a bed that is filled, both
// before the builder's suggestions, those before semitones.
//
// Contracts: every take gets a place as long as there are seats; every bed gets its least number of takes, unless
// there are not so many or the builder's own words forbid it; each take is at most once in a bed. What could not be
// kept to is told (Thin, Unused, Misplaced, Far). The same arguments give the same result. With Options.Before, takes
// stay where they were, so that an edited take changes few beds.
//
// Sources: Ahuja, Magnanti & Orlin, Network Flows, 9.7 (successive shortest paths). How far a take may be moved is
// common practice. The tests compare with all placings of small collections.
package assign
