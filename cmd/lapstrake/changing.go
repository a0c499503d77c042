// What every command does that changes a project: it works alone, keeps the state before, and ends well on Ctrl-C.

package main

import (
	"context"
	"errors"
	"os"
	"os/signal"
	"syscall"

	"lapstrake/mapping/project"
)

// changing runs the work of a command that changes the project in dir. Another command that works on it is an error.
// The context of work ends with Ctrl-C. A folder that is not there is left to work, which says what it expects.
func changing(dir, command string, work func(context.Context) error) (err error) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return work(ctx)
	}
	release, err := project.Lock(dir, command)
	if err != nil {
		return err
	}
	defer release()
	if err := project.KeepState(dir, command); err != nil {
		return err
	}
	err = work(ctx)
	if wrong := (wrongError{}); err != nil && !errors.As(err, &wrong) {
		return errors.Join(err, project.ForgetIdle(dir))
	}
	return errors.Join(err, project.SettleStates(dir, command))
}
