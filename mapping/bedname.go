package mapping

import (
	"fmt"
	"regexp"
	"strconv"
	"unicode/utf8"
)

// BedName is what a bed's file name says: LAYER-STRAND-kNNN.wav, where NNN is
// the MIDI key of its root, or LAYER-STRAND-ANYTHING.wav without a root.
type BedName struct {
	Layer, Strand string
	Root          int // -1 if the name has none
}

var (
	bedNamePattern = regexp.MustCompile(`^([a-z][a-z0-9]*)-([a-z][a-z0-9]*)(?:-([^/\\]+))?\.(?i:wav)$`)
	bedRootPattern = regexp.MustCompile(`^k([0-9]{1,3})$`)
)

// ParseBedName reads a file name without its folder.
func ParseBedName(name string) (BedName, error) {
	if !utf8.ValidString(name) {
		return BedName{}, fmt.Errorf("%q: expected a name in UTF-8, as the map is; rename the file", name)
	}
	parts := bedNamePattern.FindStringSubmatch(name)
	if parts == nil {
		return BedName{}, fmt.Errorf("%q: expected LAYER-STRAND-kNNN.wav, such as soft-a-k036.wav, in small letters",
			name)
	}
	bed := BedName{Layer: parts[1], Strand: parts[2], Root: -1}
	if root := bedRootPattern.FindStringSubmatch(parts[3]); root != nil {
		bed.Root, _ = strconv.Atoi(root[1])
		if bed.Root > HighestKey {
			return BedName{}, fmt.Errorf("%q: root %d: expected a MIDI key from k000 to k127", name, bed.Root)
		}
	}
	return bed, nil
}

// String gives the file name of a bed with a root.
func (b BedName) String() string {
	return fmt.Sprintf("%s-%s-k%03d.wav", b.Layer, b.Strand, b.Root)
}
