// The keeper: it keeps playing going on for hours, whatever happens to the device.

package output

import (
	"errors"
	"fmt"
	"sync"
	"time"
)

const (
	watchTime = 100 * time.Millisecond // between looks at the output
	// Looks are counted rather than time: a program that was stopped for a while has lost nothing.
	lostLooks   = 5  // without a call: lost
	reopenLooks = 10 // between attempts
)

// Keeper owns the output while a player runs. When the device goes, a clock calls render in its stead, so that the
// recording and everything else go on; when it is back, by the same name, it plays again. However outputs
// overlap, render is never called by two threads at once, and never after Close.
type Keeper struct {
	settings Settings
	gate     gate
	report   func(string)
	open     func(settings Settings, render func(out []float32)) (*Output, error)

	mu        sync.Mutex
	output    *Output // what calls render now: a device's or the clock's
	lost      bool
	underruns int64 // of outputs that are closed

	stop  chan struct{}
	ended chan struct{}
}

// Keep opens the output and watches over it. Where there is no device at all, and none was asked for, it plays
// by the clock and reports so; any other error is returned, among them a *RateError. report gets a sentence
// for every change; it is called from the keeper's goroutine, and before Keep returns from the caller's.
func Keep(settings Settings, render func(out []float32), report func(string)) (*Keeper, error) {
	return keep(settings, render, report, Open)
}

func keep(settings Settings, render func(out []float32), report func(string),
	open func(Settings, func(out []float32)) (*Output, error)) (*Keeper, error) {
	k := &Keeper{settings: settings, report: report, open: open, stop: make(chan struct{}), ended: make(chan struct{})}
	k.gate.render, k.gate.opened = render, time.Now()
	output, err := open(settings, k.gate.next())
	if errors.Is(err, errNoDevice) && settings.RateHz > 0 {
		report("No sound device was found: nothing is heard, but playing and recording go on by the clock.")
		k.output = OpenClock(settings.RateHz, settings.BlockFrames, k.gate.next())
		close(k.ended)
		return k, nil
	}
	if err != nil {
		return nil, err
	}
	k.output = output
	// From now on this very device is meant, whatever its number becomes, at this very rate.
	k.settings.Device, k.settings.host, k.settings.RateHz = output.Device.String(), output.Device.Host, output.RateHz
	go k.watch()
	return k, nil
}

// Output is what calls render now. lost: it is the clock, in a device's stead.
func (k *Keeper) Output() (output *Output, lost bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.output, k.lost
}

// Underruns counts the gaps since the beginning, over all outputs.
func (k *Keeper) Underruns() int64 {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.underruns + k.output.Underruns()
}

// watch runs until Close.
func (k *Keeper) watch() {
	defer close(k.ended)
	ticker := time.NewTicker(watchTime)
	defer ticker.Stop()
	var calls int64
	looks, said := 0, ""
	for {
		select {
		case <-k.stop:
			return
		case <-ticker.C:
		}
		looks++
		output, lost := k.Output()
		switch {
		case !lost && output.Calls() != calls:
			calls, looks = output.Calls(), 0
		case !lost && looks > lostLooks:
			k.lose()
			looks, said = 0, ""
		case lost && looks >= reopenLooks:
			said = k.reopen(said)
			calls, looks = 0, 0
		}
	}
}

// lose lets the clock take the lost output's place.
func (k *Keeper) lose() {
	k.mu.Lock()
	old := k.output
	k.output, k.lost = openClockBehind(old.RateHz, k.settings.BlockFrames, k.gate.sinceLast(), k.gate.next()), true
	k.mu.Unlock()
	k.report(fmt.Sprintf("%s has gone silent: playing and recording go on by the clock until it is back.", old.Device))
	k.retire(old)
}

// reopen tries to have the device back. It returns what was wrong, which it reports unless said is the same.
func (k *Keeper) reopen(said string) string {
	// Its turn begins once it is open: should opening fail, the clock has never stopped.
	turn := &Stage{}
	output, err := k.open(k.settings, turn.Render)
	if err != nil {
		wrong, wrongRate := err.Error(), (*RateError)(nil)
		switch {
		case wrong == said:
		case errors.As(err, &wrongRate):
			k.report(fmt.Sprintf("%s is back, but at %d Hz: set it to %d Hz, at which the engine runs.",
				wrongRate.Device, wrongRate.DeviceHz, wrongRate.WantHz))
		case errors.Is(err, errStuck):
			k.report(wrong)
		}
		return wrong
	}
	k.mu.Lock()
	clock := k.output
	k.output, k.lost = output, false
	k.mu.Unlock()
	turn.Begin(k.gate.next())
	k.retire(clock)
	k.report(fmt.Sprintf("%s is back.", output.Device))
	return ""
}

// retire closes an output whose turn is over. What hangs is left behind: the gate gives it silence.
func (k *Keeper) retire(output *Output) {
	// An error says that it hung or was gone already, which is why it is retired.
	output.Close()
	k.mu.Lock()
	k.underruns += output.Underruns()
	k.mu.Unlock()
}

// Close ends the output. It returns after some seconds at the latest; render is not called any more then.
func (k *Keeper) Close() error {
	select {
	case <-k.stop:
		return nil
	default:
		close(k.stop)
	}
	<-k.ended
	err := k.output.Close()
	k.gate.shut()
	return err
}
