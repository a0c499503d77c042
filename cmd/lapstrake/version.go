// Which version of the program this is, as the Go tools have recorded it in the binary.

package main

import (
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
)

func printVersion(out io.Writer) {
	info, found := debug.ReadBuildInfo()
	if !found {
		info = &debug.BuildInfo{}
	}
	fmt.Fprintln(out, versionLine(info))
}

// versionLine tells the module's version, the revision where the program was built from a repository, and the Go
// version.
func versionLine(info *debug.BuildInfo) string {
	version, goVersion := info.Main.Version, info.GoVersion
	if version == "" {
		version = "(devel)" // the Go tools' word for a build without a version
	}
	if goVersion == "" {
		goVersion = runtime.Version()
	}
	settings := map[string]string{}
	for _, setting := range info.Settings {
		settings[setting.Key] = setting.Value
	}
	line := "lapstrake " + version
	if revision := settings["vcs.revision"]; revision != "" {
		line += ", revision " + revision[:min(len(revision), 12)]
		if settings["vcs.modified"] == "true" {
			line += " with changes"
		}
	}
	return fmt.Sprintf("%s, %s, %s/%s", line, goVersion, runtime.GOOS, runtime.GOARCH)
}
