// Package ledger tells who is heard in the notes of a map: for every take of every bed, and at three places of the
// dynamics, for how long of each turn it stands out on the bed's keys, in which stretches of the bed, and by how much.
//
// It plays each key of a map by what the takes of the beds excite (package hearing), both ranks and all layers
// together. Build writes it down, check finds its faults by it, the page and the credits tell it: nobody else judges
// who is heard where.
package ledger
