// JACK, spoken to directly: when its server goes, PortAudio's Stop waits for ten minutes and its Terminate aborts
// the whole program by an assertion (19.6), while libjack itself closes cleanly and connects again.

package output

import (
	"errors"
	"strings"
	"time"

	"lapstrake/engine/live/jack"
)

const jackHost = "JACK"

// jackDevices lists the clients of the running server that have audio inputs; none where there is no server.
func jackDevices() []Device {
	client := jack.OpenOutput()
	if client == nil {
		return nil
	}
	defer client.Close()
	rateHz, period := client.RateHz(), client.PeriodFrames()
	var devices []Device
	at := map[string]int{}
	for _, input := range client.Inputs() {
		name, _, _ := strings.Cut(input, ":")
		i, seen := at[name]
		if !seen {
			i = len(devices)
			at[name] = i
			lowest := framesTime(client.LatencyFrames(input), rateHz)
			devices = append(devices, Device{
				Name: name, Host: jackHost, RateHz: rateHz, BlockFrames: period,
				LowLatency: lowest, SafeLatency: lowest + safeLatency, Default: name == "system",
			})
		}
		devices[i].Channels++
	}
	return devices
}

func framesTime(frames, rateHz int) time.Duration {
	return time.Duration(frames) * time.Second / time.Duration(rateHz)
}

// jackConnection is a client that plays. counts is called by one goroutine at a time.
type jackConnection struct {
	client *jack.Output
	calls  int64 // as long as the inputs were there
}

func openJACK(device Device, settings Settings, render func(out []float32)) (*Output, error) {
	client := jack.OpenOutput()
	if client == nil {
		return nil, errors.New("the JACK server does not answer any more")
	}
	output, err := startJACK(client, device, settings, render)
	if err != nil {
		client.Close()
		return nil, err
	}
	return output, nil
}

func startJACK(client *jack.Output, device Device, settings Settings, render func(out []float32)) (*Output, error) {
	rateHz, block := client.RateHz(), client.PeriodFrames()
	if rateHz != settings.RateHz {
		return nil, &RateError{Device: device.String(), WantHz: settings.RateHz, DeviceHz: rateHz}
	}
	var inputs []string
	for _, input := range client.Inputs() {
		if strings.HasPrefix(input, device.Name+":") {
			inputs = append(inputs, input)
		}
	}
	if len(inputs) < 2 {
		return nil, errors.New("its inputs went while it was being opened: see that the program that has them still " +
			"runs")
	}
	latency := framesTime(client.LatencyFrames(inputs[0]), rateHz)
	blocks := 0
	if settings.Safe {
		// What is asked for beyond JACK's own latency; at least two periods and two blocks, one to play and one to
		// fill.
		frames := max(int(max(settings.Latency-latency, 0)*time.Duration(rateHz)/time.Second), 2*block)
		block = settings.BlockFrames
		blocks = max((frames+block-1)/block, 2)
		latency += framesTime(blocks*block, rateHz)
	}
	if err := client.Start(inputs[0], inputs[1], block, blocks, render, settings.Ready); err != nil {
		return nil, err
	}
	return &Output{Device: device, RateHz: rateHz, BlockFrames: block, Latency: latency,
		connection: &jackConnection{client: client}}, nil
}

// counts stand still once the inputs have gone with their program: the server goes on asking, for nobody.
func (c *jackConnection) counts() (calls, underruns int64) {
	calls, underruns = c.client.Counts()
	if c.client.Heard() {
		c.calls = calls
	}
	return c.calls, underruns
}

func (c *jackConnection) close() error {
	c.client.Close()
	return nil
}
