// How a sheet is read in a project.

package takes

import (
	"lapstrake/mapping/project"
)

// OptionsOf are the settings by which a project's take sheet is read.
func OptionsOf(s *project.Settings) SheetOptions {
	return SheetOptions{MiddleC: s.Project.MiddleC, Layers: s.Project.Layers, Strands: s.Project.Strands}
}
