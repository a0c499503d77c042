// What a file says of the places in it and of whose sounds it holds.

package export

import (
	"cmp"
	"slices"
	"strings"

	"lapstrake/mapping/export/credits"
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

// takesIn are the takes whose sounds are in a file.
func (j *Job) takesIn(i *Item) (takes []credits.Take) {
	if j.Credits == nil {
		return nil
	}
	beds := i.Zone.Beds[j.Map.Layers[i.Layer]]
	for _, take := range j.Credits.Takes {
		if slices.ContainsFunc(take.Places, func(p credits.Place) bool { return slices.Contains(beds, p.Bed) }) {
			takes = append(takes, take)
		}
	}
	return takes
}

// rights names whose sounds are in a file; "" where nobody is known.
func (j *Job) rights(i *Item) string {
	names := credits.NamesOf(j.takesIn(i))
	if names == nil {
		return ""
	}
	return "with the sounds of " + strings.Join(names, "; ") + ". Their terms stand in " + creditsText + "."
}
