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
	// Where no device was asked for by name, another one takes the place of one that is not back after so many
	// attempts.
	faithfulAttempts = 5
)

// Keeper owns the output while a player runs. When the device goes, a clock calls render in its stead, so that the
// recording and everything else go on; when it is back, by the same name, it plays again. Where no device was asked
// for by name, the first one that appears is taken, and the new default one in place of one that stays away. However
// outputs overlap, render is never called by two threads at once, and never after Close.
type Keeper struct {
	settings Settings
	anyOne   bool // no device was asked for
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
// by the clock until there is one, and reports so; any other error is returned, among them a *RateError. report gets a
// sentence for every change; it is called from the keeper's goroutine, and before Keep returns from the caller's.
func Keep(settings Settings, render func(out []float32), report func(string)) (*Keeper, error) {
	return keep(settings, render, report, Open)
}

func keep(settings Settings, render func(out []float32), report func(string),
	open func(Settings, func(out []float32)) (*Output, error)) (*Keeper, error) {
	k := &Keeper{settings: settings, anyOne: settings.Device == "", report: report, open: open,
		stop: make(chan struct{}), ended: make(chan struct{})}
	k.gate.render, k.gate.opened = render, time.Now()
	output, err := open(settings, k.gate.next())
	switch {
	case errors.Is(err, errNoDevice) && settings.RateHz > 0:
		report("No sound device was found: nothing is heard, but playing and recording go on by the clock.")
		k.output, k.lost = OpenClock(settings.RateHz, settings.BlockFrames, k.gate.next()), true
	case err != nil:
		return nil, err
	default:
		k.output = output
		k.mean(output)
	}
	go k.watch()
	return k, nil
}

// mean has this very device be meant from now on, whatever its number becomes, at this very rate.
func (k *Keeper) mean(output *Output) {
	k.settings.Device, k.settings.host, k.settings.RateHz = output.Device.String(), output.Device.Host, output.RateHz
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
	looks, attempts, said := 0, 0, ""
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
			looks, attempts, said = 0, 0, ""
		case lost && looks >= reopenLooks:
			attempts++
			said = k.reopen(said, attempts)
			calls, looks = 0, 0
		}
	}
}

// lose lets the clock take the lost output's place.
func (k *Keeper) lose() {
	k.mu.Lock()
	old := k.output
	k.output, k.lost = openClockBehind(old.RateHz, k.settings.BlockFrames, k.gate.sinceLast(), k.settings.Ready,
		k.gate.next()), true
	k.mu.Unlock()
	k.report(fmt.Sprintf("%s has gone silent: playing and recording go on by the clock until it is back.", old.Device))
	k.retire(old)
}

// reopen tries to have the device back, or another one where that may be. It returns what was wrong, which it reports
// unless said is the same.
func (k *Keeper) reopen(said string, attempts int) string {
	// Its turn begins once it is open: should opening fail, the clock has never stopped.
	turn := &Stage{}
	output, err := k.open(k.settings, turn.Render)
	// A JACK server is waited for: it will want the hardware that the other systems offer.
	if absent := (*ChoiceError)(nil); errors.As(err, &absent) && k.anyOne && attempts > faithfulAttempts &&
		k.settings.host != jackHost {
		another := k.settings
		another.Device, another.host = "", ""
		if output, err = k.open(another, turn.Render); errors.Is(err, errNoDevice) {
			err = absent
		}
	}
	if err != nil {
		wrong, wrongRate := err.Error(), (*RateError)(nil)
		switch {
		case wrong == said:
		case errors.As(err, &wrongRate):
			k.report(fmt.Sprintf("%s is there, but at %d Hz: set it to %d Hz, at which the engine runs.",
				wrongRate.Device, wrongRate.DeviceHz, wrongRate.WantHz))
		case errors.Is(err, errStuck):
			k.report(wrong)
		case errors.Is(err, errNoAnswer):
			k.report(wrong + "; it is asked again")
		}
		return wrong
	}
	k.mu.Lock()
	clock := k.output
	k.output, k.lost = output, false
	k.mu.Unlock()
	turn.Begin(k.gate.next())
	k.retire(clock)
	switch before := k.settings.Device; before {
	case output.Device.String():
		k.report(fmt.Sprintf("%s is back.", output.Device))
	case "":
		k.report(fmt.Sprintf("%s has appeared and plays now.", output.Device))
	default:
		k.report(fmt.Sprintf("%s plays now, in place of %s.", output.Device, before))
	}
	k.mean(output)
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
