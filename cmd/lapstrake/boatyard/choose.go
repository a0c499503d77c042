// Which neighbours are heard in a bed.
package boatyard

// chosen returns the makers of one bed, four to eight of those that suit the layer, the strand and the root, held
// ones first. Neighbouring roots take them in turn, so that over the keyboard everyone is heard.
func chosen(layer, strand string, rootKey int) []Maker {
	byKind := map[Kind][]Maker{}
	for _, m := range Makers() {
		suits := (layer == "soft" && m.Soft || layer == "loud" && m.Loud) && m.Strand == strand
		if suits && m.lowKey <= rootKey && rootKey <= m.highKey {
			byKind[m.Kind] = append(byKind[m.Kind], m.In(layer))
		}
	}
	turn := rootKey / 6 // the usual roots are six keys apart
	picked := inTurn(byKind[Held], turn, 3+turn%2)
	picked = append(picked, inTurn(byKind[Struck], turn, 2+(turn+1)%2)...)
	return append(picked, inTurn(byKind[Noisy], turn, 1)...)
}

// inTurn takes count of the makers, beginning one further each turn.
func inTurn(makers []Maker, turn, count int) []Maker {
	var picked []Maker
	for i := range min(count, len(makers)) {
		picked = append(picked, makers[(turn+i)%len(makers)])
	}
	return picked
}
