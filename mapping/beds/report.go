// What a build tells about itself.

package beds

import (
	"fmt"

	"lapstrake/mapping"
	"lapstrake/mapping/beds/assign"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

// BuildReport is what a build did.
type BuildReport struct {
	Settings    project.Settings
	Rows        []*takes.Row // those that were given to Assign; an Index is an index into them
	LeftOut     []LeftOutRow
	Assignment  *assign.Assignment
	Built       []mapping.BedName // rendered now
	Kept        int               // beds that were there already, from the same takes by the same settings
	Edited      []EditedBed       // beds that were edited by hand, and stay
	Overwritten []mapping.BedName // beds that were edited by hand, and were made anew since ForceBeds asked for it
	Broken      []string          // beds that could not be read, each with the reason; they were made anew
	Uneven      []string          // beds whose levels are not as asked for, each with what was found and expected
	Darkened    []string          // beds darkened beside the next louder layer, each with by how much
	Heard       []TakeHeard       // of every take that is in a bed, in the order of the sheet
	MapPath     string
	MapKept     bool     // the map was edited by hand, and stays
	Nudged      int      // zones whose kept nudges went on into the new map
	NudgesLost  []string // zones with kept nudges that the new map does not have
	// what the map plays although sheet or settings do not want it any more; empty unless it was kept
	Objections *Objections
}

func (r *BuildReport) whyNone() string {
	if len(r.LeftOut) == 0 {
		return "the sheet has no rows; put recordings into takes/ and run `lapstrake intake`"
	}
	return fmt.Sprintf("all %d are left out, the first, %s, because %s", len(r.LeftOut), r.LeftOut[0].Path,
		r.LeftOut[0].Reason)
}
