// What a file says of the places in it and of whose sounds it holds.

package export

import (
	"cmp"
	"slices"
	"strings"

	"lapstrake/mapping/wav"
)

// cues are the places at which each strand begins to sound alone, in their order; the crossfade lies before.
func (j *Job) cues(i *Item) (cues []wav.Cue) {
	for strand, begins := range i.Cycle.Begins {
		frames := i.Frames()
		cues = append(cues, wav.Cue{Frame: ((begins-i.startFrame)%frames + frames) % frames,
			Label: j.Map.StrandTitle(strand)})
	}
	slices.SortFunc(cues, func(a, b wav.Cue) int { return cmp.Compare(a.Frame, b.Frame) })
	return cues
}

// rights names whose sounds are in a file; "" where nobody is known.
func (j *Job) rights(i *Item) string {
	if j.Credits == nil {
		return ""
	}
	var names []string
	for k := range j.Credits.Takes {
		take := &j.Credits.Takes[k]
		for _, place := range take.Places {
			if name := take.Name(); slices.Contains(i.Zone.Beds[j.Map.Layers[i.Layer]], place.Bed) &&
				!slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	if names == nil {
		return ""
	}
	return "with the sounds of " + strings.Join(names, "; ") + ". Their terms stand in " + creditsText + "."
}
