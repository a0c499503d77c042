// The command devices.

package main

import (
	"encoding/json"
	"fmt"
	"text/tabwriter"
	"time"

	"github.com/spf13/pflag"

	"lapstrake/engine/live"
	"lapstrake/engine/live/midi"
	"lapstrake/engine/live/output"
)

// devicesOptions list what play can sound on and be played from.
type devicesOptions struct{ json bool }

func devicesCommand() command {
	return command{
		name: "devices", words: "",
		summary: "list sound outputs and MIDI inputs",
		about: `Lists the sound outputs and the MIDI inputs that play can use, and how each is chosen:
an output by a part of its name or by its number, an input by a part of its name.
Names stay the same when devices come and go; numbers do not.`,
		example: "lapstrake devices --json",
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &devicesOptions{}
			flags.BoolVar(&o.json, "json", false, "print the lists as JSON")
			return o.run
		},
	}
}

// deviceRow is a sound output as printed.
type deviceRow struct {
	Number        int     `json:"number"`
	Name          string  `json:"name"`
	Host          string  `json:"host"`
	Channels      int     `json:"channels"`
	RateHz        int     `json:"rate_hz"`
	LowLatencyMS  float64 `json:"lowest_latency_ms"`
	SafeLatencyMS float64 `json:"safe_latency_ms"`
	Default       bool    `json:"default"`
}

// portRow is a MIDI input as printed.
type portRow struct {
	Name string `json:"name"`
	API  string `json:"api"`
}

func (o *devicesOptions) run(s streams, args []string) error {
	if len(args) > 0 {
		return wrongWords("devices takes no arguments; found %q", args[0])
	}
	devices, ports, err := listDevices()
	if err != nil {
		return err
	}
	if o.json {
		return json.NewEncoder(s.out).Encode(struct {
			Outputs []deviceRow `json:"outputs"`
			Inputs  []portRow   `json:"midi_inputs"`
		}{devices, ports})
	}
	if err := printOutputs(s, devices); err != nil {
		return err
	}
	return printInputs(s, ports)
}

// listDevices asks the sound systems, which print on standard error what they do not find.
func listDevices() ([]deviceRow, []portRow, error) {
	_, restore, err := live.Quiet()
	if err != nil {
		return nil, nil, err
	}
	defer restore()
	devices, err := output.Devices()
	if err != nil {
		return nil, nil, err
	}
	ports, err := midi.List()
	if err != nil {
		return nil, nil, err
	}
	outputs, inputs := []deviceRow{}, []portRow{}
	for _, d := range devices {
		outputs = append(outputs, deviceRow{d.Number, d.Name, d.Host, d.Channels, d.RateHz,
			milliseconds(d.LowLatency), milliseconds(d.SafeLatency), d.Default})
	}
	for _, p := range ports {
		inputs = append(inputs, portRow{p.Name, p.API})
	}
	return outputs, inputs, nil
}

func milliseconds(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }

func printOutputs(s streams, devices []deviceRow) error {
	if len(devices) == 0 {
		fmt.Fprintln(s.out, "No sound output was found: play then makes no sound, but runs by the clock, records, "+
			"and answers MIDI.")
		return nil
	}
	fmt.Fprintln(s.out, "Sound outputs; choose one with --device NUMBER or --device \"PART OF NAME\":")
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "  number\tname\tsystem\tchannels\trate\tlowest latency\tsafe latency\t")
	for _, d := range devices {
		mark := ""
		if d.Default {
			mark = "default"
		}
		if d.Channels < 2 {
			mark = "mono: cannot be used"
		}
		fmt.Fprintf(table, "  %d\t%s\t%s\t%d\t%d Hz\t%.1f ms\t%.1f ms\t%s\n",
			d.Number, d.Name, d.Host, d.Channels, d.RateHz, d.LowLatencyMS, d.SafeLatencyMS, mark)
	}
	return table.Flush()
}

func printInputs(s streams, ports []portRow) error {
	if len(ports) == 0 {
		fmt.Fprintln(s.out, "No MIDI input was found: play opens one as soon as it is plugged in.")
		return nil
	}
	fmt.Fprintln(s.out, "MIDI inputs; choose one with --midi \"PART OF NAME\":")
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "  name\tsystem")
	for _, p := range ports {
		fmt.Fprintf(table, "  %s\t%s\n", p.Name, p.API)
	}
	return table.Flush()
}
