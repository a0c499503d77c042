// A program that runs beside a test: what it says and how it ends.

//go:build linux && cgo

package main

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// patience is how long a test waits for what must come: an end to waiting, not a measure of speed.
const patience = 20 * time.Second

// process is killed at the end of the test if it still runs.
type process struct {
	testing.TB
	command      *exec.Cmd
	out, notices spoken
	ended        chan struct{}
}

// spoken is what a program has written so far.
type spoken struct {
	lock sync.Mutex
	text bytes.Buffer
}

func (s *spoken) Write(data []byte) (int, error) {
	s.lock.Lock()
	defer s.lock.Unlock()
	return s.text.Write(data)
}

func (s *spoken) String() string {
	s.lock.Lock()
	defer s.lock.Unlock()
	return s.text.String()
}

// launch starts a program with input on its standard input.
func launch(t testing.TB, env []string, input string, words ...string) *process {
	t.Helper()
	return launchOn(t, env, strings.NewReader(input), words...)
}

// launchOn starts a program with a standard input of its own, such as a terminal.
func launchOn(t testing.TB, env []string, input io.Reader, words ...string) *process {
	t.Helper()
	p := &process{TB: t, command: exec.Command(words[0], words[1:]...), ended: make(chan struct{})}
	p.command.Env, p.command.Stdin = env, input
	p.command.Stdout, p.command.Stderr = &p.out, &p.notices
	p.command.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGTERM} // should the test be cut short
	if err := p.command.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		p.command.Wait() // the exit code is asked for in wait
		close(p.ended)
	}()
	t.Cleanup(p.kill)
	return p
}

func (p *process) kill() {
	p.command.Process.Kill() // fails if it has ended
	<-p.ended
}

func (p *process) signal(signal os.Signal) {
	p.Helper()
	if err := p.command.Process.Signal(signal); err != nil {
		p.Fatalf("%s cannot be sent %s: %v\n%s", p.command.Args[0], signal, err, &p.notices)
	}
}

// wait returns the exit code of a program that ends by itself.
func (p *process) wait() int {
	p.Helper()
	p.waitUntil("its end", p.hasEnded)
	return p.command.ProcessState.ExitCode()
}

func (p *process) hasEnded() bool {
	select {
	case <-p.ended:
		return true
	default:
		return false
	}
}

// says waits for a notice after the first skip bytes of all notices and returns how many bytes they are then.
func (p *process) says(pattern string, skip int) int {
	p.Helper()
	wanted := regexp.MustCompile("(?m)" + pattern)
	length := 0
	p.waitUntil("the notice "+pattern, func() bool {
		notices := p.notices.String()
		length = len(notices)
		return wanted.MatchString(notices[skip:])
	})
	return length
}

// waitUntil waits for something that p, or another program while p runs, does.
func (p *process) waitUntil(what string, done func() bool) {
	p.Helper()
	for began := time.Now(); ; time.Sleep(5 * time.Millisecond) {
		ended := p.hasEnded()
		if done() {
			return
		}
		if ended || time.Since(began) > patience {
			p.Fatalf("%s: waited in vain for %s; it said:\n%s%s", strings.Join(p.command.Args, " "), what,
				&p.out, &p.notices)
		}
	}
}
