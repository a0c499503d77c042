// The checks, one a row.

package check

import "context"

// part is one check: what it is called, what it looks for, and what measures it.
type part struct {
	name, about string
	measure     func(ctx context.Context, s *subject, said *PartReport) error
}

var parts = []part{
	{"returns", "when a held chord comes back, and whether the ear hears it come back before", returns},
	{"evolution", "whether a held chord goes on changing, as the ear gets it", evolution},
	{"starts", "how far apart the cycles of common chords begin", starts},
	{"seams", "how much the sound steps from key to key where zones change", seams},
	{"joins", "the level where beds follow one another, layers that do not go together, beds that are there twice",
		joins},
	{"clicks", "moments that neither the sound before nor the sound after them foretells", clicks},
	{"splices", "short takes that were spliced to themselves and beat", splices},
	{"tuning", "what lies off the harmonics of the key that is played, and which takes bring it in", tuning},
	{"heard", "which takes are heard in a note as it is played, and who lies over those that are not", heard},
	{"evenness", "whether beds and keys are equally loud, and what is left of them in mono", evenness},
	{"noise", "the noise that is there all the time under ten keys held together", noise},
	{"chords", "what full chords do: whether their bass piles up, and what the ceiling takes off", chords},
	{"dynamics", "what the dynamics controller does to loudness, brightness and attack", dynamics},
	{"budget", "what playing takes of this machine", budget},
}
