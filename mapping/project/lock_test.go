package project

import (
	"errors"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"
)

func TestOneCommandAtATime(t *testing.T) {
	dir := t.TempDir()
	if IsLocked(dir) {
		t.Error("locked before any command")
	}
	release, err := Lock(dir, "build")
	if err != nil {
		t.Fatal(err)
	}
	if !IsLocked(dir) {
		t.Error("not locked while a command works")
	}
	_, err = Lock(dir, "intake")
	var inUse *InUseError
	if !errors.As(err, &inUse) || !strings.Contains(err.Error(), "build, process ") ||
		!strings.Contains(err.Error(), "wait until it is done") {
		t.Errorf("a second lock: %v, want who holds the first and what to do", err)
	}
	release()
	if IsLocked(dir) {
		t.Error("locked after the command was done")
	}
	again, err := Lock(dir, "intake")
	if err != nil {
		t.Fatalf("after the first was done: %v", err)
	}
	again()
	if entries, _ := os.ReadDir(dir); len(entries) != 0 {
		t.Errorf("left behind: %v", entries)
	}
}

// A process that was killed holds nothing.
func TestLockOfADeadProcessIsNone(t *testing.T) {
	if dir := os.Getenv("LAPSTRAKE_LOCK_AND_WAIT"); dir != "" {
		if _, err := Lock(dir, "build"); err != nil {
			t.Fatal(err)
		}
		os.Stdout.WriteString("locked\n")
		time.Sleep(time.Minute)
		return
	}
	dir := t.TempDir()
	child := exec.Command(os.Args[0], "-test.run=^TestLockOfADeadProcessIsNone$")
	child.Env = append(os.Environ(), "LAPSTRAKE_LOCK_AND_WAIT="+dir)
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	if _, err := out.Read(make([]byte, 7)); err != nil {
		t.Fatal(err)
	}
	if _, err := Lock(dir, "intake"); err == nil {
		t.Error("locked while a living process holds it")
	}
	child.Process.Kill()
	child.Wait()
	release, err := Lock(dir, "intake")
	if err != nil {
		t.Fatalf("the lock outlived its process: %v", err)
	}
	release()
}

func TestNoProjectToLock(t *testing.T) {
	if _, err := Lock(t.TempDir()+"/nowhere", "build"); err == nil {
		t.Error("a folder that is not there was locked")
	}
}
