// What the choice of takes needs of a project's settings.

package assign

import "lapstrake/mapping/project"

// OptionsOf are what Takes needs of a project's settings.
func OptionsOf(s *project.Settings) Options {
	return Options{
		LeastTakes: s.Beds.LeastTakes, MostTakes: s.Beds.MostTakes, LeastOfManner: s.Beds.LeastOfManner,
		BedSec:              s.Beds.LengthSec,
		BrightMoveSemitones: s.Beds.BrightMoveSemitones, SoftMoveSemitones: s.Beds.SoftMoveSemitones,
		Seed: uint64(s.Project.Seed),
	}
}
