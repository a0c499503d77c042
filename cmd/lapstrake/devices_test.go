package main

import (
	"bytes"
	"strings"
	"testing"
)

func TestPrintOutputs(t *testing.T) {
	var out bytes.Buffer
	s := streams{&out, &out}
	if err := printOutputs(s, []deviceRow{
		{Number: 1, Name: "Shed Speakers", Host: "ALSA", Channels: 2, RateHz: 48000, LowLatencyMS: 8.7,
			SafeLatencyMS: 34.8, Default: true},
		{Number: 2, Name: "Foghorn", Host: "OSS", Channels: 1, RateHz: 44100},
	}); err != nil {
		t.Fatal(err)
	}
	if err := printInputs(s, []portRow{{"Wheelhouse Keys MIDI 1", "ALSA"}}); err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(out.String()), " ")
	for _, want := range []string{
		"--device NUMBER", "1 Shed Speakers ALSA 2 48000 Hz 8.7 ms 34.8 ms default",
		"2 Foghorn OSS 1 44100 Hz 0.0 ms 0.0 ms mono: cannot be used",
		"--midi", "Wheelhouse Keys MIDI 1 ALSA",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the tables lack %q:\n%s", want, &out)
		}
	}
}
