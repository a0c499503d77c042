// Measurements in real time, which a busy machine may spoil.

//go:build linux && cgo

package main

import (
	"fmt"
	"runtime"
	"testing"
)

// attempt is one try at a measurement: what it finds wrong is kept, and what it started ends with it.
type attempt struct {
	testing.TB
	wrong    []string
	cleanups []func()
}

// measured tries a measurement up to three times and is content with one that finds nothing wrong: what the machine
// did to one of them is not the program's fault, and what is the program's fault is found each time. Measurements run
// side by side, for most of their time is spent listening.
func measured(t *testing.T, measure func(t *attempt)) {
	t.Helper()
	t.Parallel()
	measuredAlone(t, measure)
}

// measuredAlone is measured for what needs the processors for itself.
func measuredAlone(t *testing.T, measure func(t *attempt)) {
	t.Helper()
	measuredTimes(t, 3, measure)
}

// measuredTimes is measuredAlone with so many tries.
func measuredTimes(t *testing.T, times int, measure func(t *attempt)) {
	t.Helper()
	requireJACK(t)
	for i := range times {
		a := &attempt{TB: t}
		a.run(measure)
		if len(a.wrong) == 0 {
			return
		}
		for _, wrong := range a.wrong {
			if i < times-1 {
				t.Logf("attempt %d: %s", i+1, wrong)
			} else {
				t.Errorf("attempt %d, the last: %s", i+1, wrong)
			}
		}
	}
}

func (a *attempt) run(measure func(t *attempt)) {
	done := make(chan struct{})
	go func() { // one that Fatalf may end
		defer close(done)
		defer a.cleanUp()
		measure(a)
	}()
	<-done
}

func (a *attempt) cleanUp() {
	if last := len(a.cleanups) - 1; last >= 0 {
		cleanup := a.cleanups[last]
		a.cleanups = a.cleanups[:last]
		defer a.cleanUp()
		cleanup()
	}
}

func (a *attempt) Cleanup(f func()) { a.cleanups = append(a.cleanups, f) }

func (a *attempt) Errorf(format string, args ...any) {
	a.wrong = append(a.wrong, fmt.Sprintf(format, args...))
}

func (a *attempt) Fatalf(format string, args ...any) {
	a.Errorf(format, args...)
	runtime.Goexit()
}

func (a *attempt) Fatal(args ...any) { a.Fatalf("%s", fmt.Sprintln(args...)) }
