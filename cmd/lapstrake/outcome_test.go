// Looks at what a command of a script did: exit code, JSON, sound, picture, files.

package main

import (
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"image/png"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"

	goaudio "github.com/go-audio/wav"
	"github.com/rogpeppe/go-internal/testscript"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// checkExit: exits CODE WORD… runs the program and compares its exit code.
func checkExit(ts *testscript.TestScript, neg bool, args []string) {
	code := exitDone
	err := ts.Exec("lapstrake", args[1:]...)
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		code = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if strconv.Itoa(code) != args[0] {
		ts.Fatalf("exit code %d, want %s", code, args[0])
	}
}

// checkJSONKeys: jsonkeys KEY… wants standard output to be one JSON value that has all the keys
// somewhere.
func checkJSONKeys(ts *testscript.TestScript, neg bool, args []string) {
	var value any
	ts.Check(json.Unmarshal([]byte(ts.ReadFile("stdout")), &value))
	found := map[string]bool{}
	var walk func(any)
	walk = func(value any) {
		switch value := value.(type) {
		case []any:
			for _, item := range value {
				walk(item)
			}
		case map[string]any:
			for key, item := range value {
				found[key] = true
				walk(item)
			}
		}
	}
	walk(value)
	for _, key := range args {
		if !found[key] {
			ts.Fatalf("no %s in the JSON", key)
		}
	}
}

// checkJSONSchema: jsonfits SCHEMA wants standard output to follow a JSON Schema, by a general validator.
func checkJSONSchema(ts *testscript.TestScript, neg bool, args []string) {
	schema, err := jsonschema.NewCompiler().Compile(ts.MkAbs(args[0]))
	ts.Check(err)
	document, err := jsonschema.UnmarshalJSON(strings.NewReader(ts.ReadFile("stdout")))
	ts.Check(err)
	ts.Check(schema.Validate(document))
}

// checkWAV: wav FILE MINSEC MAXSEC RATE BITS reads the header with another reader than ours.
func checkWAV(ts *testscript.TestScript, neg bool, args []string) {
	file, err := os.Open(ts.MkAbs(args[0]))
	ts.Check(err)
	defer file.Close()
	decoder := goaudio.NewDecoder(file)
	if !decoder.IsValidFile() {
		ts.Fatalf("%s: no WAV file", args[0])
	}
	ts.Check(decoder.FwdToPCM())
	shape := fmt.Sprintf("%d channels %d Hz %d bits", decoder.NumChans, decoder.SampleRate, decoder.BitDepth)
	if want := fmt.Sprintf("2 channels %s Hz %s bits", args[3], args[4]); shape != want {
		ts.Fatalf("%s: %s, want %s", args[0], shape, want)
	}
	frames := decoder.PCMLen() / (2 * int64(decoder.BitDepth) / 8)
	seconds := float64(frames) / float64(decoder.SampleRate)
	if least, most := number(ts, args[1]), number(ts, args[2]); seconds < least || seconds > most {
		ts.Fatalf("%s: %v s, want %v to %v", args[0], seconds, least, most)
	}
}

// checkPNG: png FILE decodes a picture.
func checkPNG(ts *testscript.TestScript, neg bool, args []string) {
	file, err := os.Open(ts.MkAbs(args[0]))
	ts.Check(err)
	defer file.Close()
	picture, err := png.Decode(file)
	ts.Check(err)
	colours := map[any]bool{}
	bounds := picture.Bounds()
	for y := bounds.Min.Y; y < bounds.Max.Y; y++ {
		for x := bounds.Min.X; x < bounds.Max.X; x++ {
			colours[picture.At(x, y)] = true
		}
	}
	if bounds.Dx() < 400 || bounds.Dy() < 200 || len(colours) < 10 {
		ts.Fatalf("%s: %v with %d colours: no picture of a sound", args[0], bounds, len(colours))
	}
}

// snapshotKey is where a script's environment keeps its snapshot: scripts run side by side.
type snapshotKey struct{}

// snapshot is the digest of every file of a script by its name.
type snapshot map[string]string

// takeSnapshot: snapshot remembers every file of the script.
func takeSnapshot(ts *testscript.TestScript, neg bool, args []string) {
	*ts.Value(snapshotKey{}).(*snapshot) = filesOf(ts)
}

// checkSnapshot: unchanged wants the files to be those of the snapshot, byte for byte.
func checkSnapshot(ts *testscript.TestScript, neg bool, args []string) {
	before, after := *ts.Value(snapshotKey{}).(*snapshot), filesOf(ts)
	for name, digest := range after {
		if old, found := before[name]; !found {
			ts.Fatalf("%s is new", name)
		} else if old != digest {
			ts.Fatalf("%s has changed", name)
		}
	}
	for name := range before {
		if _, found := after[name]; !found {
			ts.Fatalf("%s is gone", name)
		}
	}
}

func filesOf(ts *testscript.TestScript) snapshot {
	files := snapshot{}
	ts.Check(filepath.WalkDir(ts.Getenv("WORK"), func(path string, entry fs.DirEntry, err error) error {
		if err != nil || !entry.Type().IsRegular() {
			return err
		}
		data, err := os.ReadFile(path)
		digest := sha256.Sum256(data)
		files[path] = string(digest[:])
		return err
	}))
	return files
}
