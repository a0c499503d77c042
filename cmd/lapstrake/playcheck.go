// The checks that the page asks for.

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"

	"lapstrake/engine/live"
)

// checkCalmly checks the map that is played, in a process of its own that has one processor at most and gives way to
// all others, so that the sound never waits for it. What it finds is kept in the project, as by any run of check.
func (p *playing) checkCalmly(ctx context.Context, tell func(percent int)) error {
	program, err := os.Executable()
	if err != nil {
		return err
	}
	words := &buildWords{progress: tell}
	command := exec.CommandContext(ctx, program, "check", p.path, "--json", "--progress")
	command.Env = append(os.Environ(), "GOMAXPROCS=1")
	command.Stdout, command.Stderr = io.Discard, words
	if err := live.Calmly(command.Start); err != nil {
		return err
	}
	lowerPriority(command.Process.Pid)
	err = command.Wait()
	if exit := (*exec.ExitError)(nil); errors.As(err, &exit) && exit.ExitCode() == exitWrong {
		return nil // it has run, and found something
	}
	if text := words.errors(); err != nil && text != "" {
		return errors.New(text)
	}
	if err != nil {
		return fmt.Errorf("check: %w", err)
	}
	return nil
}
