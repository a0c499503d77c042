// The names of the files and of their folders. They sort by layer, rank and root, and give root and keys as numbers
// and as names.

package export

import (
	"fmt"
	"strings"

	"golang.org/x/text/unicode/norm"

	"lapstrake/mapping"
)

// mostNameBytes leaves room for an ending in what every usual file system takes, 255 bytes.
const mostNameBytes = 240

// nameItems names every item. A rank whose name cannot be part of a file's name is an error.
func nameItems(items []Item, m *mapping.Map) error {
	used := map[string]*Item{}
	for k := range items {
		i := &items[k]
		if err := checkFilePart(i.Zone.Rank); err != nil {
			return fmt.Errorf("the rank %q of the zone with root %d: %w; give the rank another name in %s",
				i.Zone.Rank, i.Zone.Root, err, mapping.FileName)
		}
		key := func(key int) string { return fmt.Sprintf("%03d-%s", key, m.MiddleC.Name(key)) }
		first := i.Keys[0]
		i.Folder = m.Layers[i.Layer] + "_" + i.Zone.Rank
		i.Name = fmt.Sprintf("%s_root-%s_keys-%s-to-%s", i.Folder, key(i.Zone.Root), key(first.Low), key(first.High))
		if more := len(i.Keys) - 1; more > 0 {
			i.Name += fmt.Sprintf("-and-%d-more", more)
		}
		switch {
		case i.Of > 1:
			i.Name += fmt.Sprintf("_press-%d-of-%d", i.Press, i.Of)
		case i.some:
			i.Name += fmt.Sprintf("_start-%.3f", i.Start)
		}
		if len(i.Name) > mostNameBytes {
			return fmt.Errorf("the rank %q: its files would have names of %d bytes, expected at most %d; "+
				"give the rank a shorter name in %s", i.Zone.Rank, len(i.Name), mostNameBytes, mapping.FileName)
		}
		folded := strings.ToLower(norm.NFC.String(i.Name))
		if other := used[folded]; other != nil {
			return fmt.Errorf("the ranks %q and %q: file systems that know no capitals, or one way to write an "+
				"accent, would take their files for the same, %s; give one of the ranks another name in %s",
				other.Zone.Rank, i.Zone.Rank, i.Name, mapping.FileName)
		}
		used[folded] = i
	}
	return nil
}

// checkFilePart refuses the characters that some file system in use refuses in names, and at the end of a folder's.
func checkFilePart(part string) error {
	for _, r := range part {
		if r < ' ' || r == 0x7F || strings.ContainsRune(`/\:*?"<>|`, r) {
			return fmt.Errorf("found %q, which file systems refuse in names", r)
		}
	}
	if strings.HasSuffix(part, ".") || strings.HasSuffix(part, " ") {
		return fmt.Errorf("found %q at its end, which file systems leave out in the names of folders",
			part[len(part)-1:])
	}
	return nil
}
