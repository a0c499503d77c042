package live

import (
	"errors"
	"io/fs"
	"os/exec"
	"runtime"
	"strings"
	"testing"

	"golang.org/x/sys/unix"
)

// Once the audio thread has a higher priority, all threads get the lowest, those begun later too, but a program that
// is started calmly does not.
func TestUrgent(t *testing.T) {
	if err := Urgent(); err != nil && !errors.Is(err, fs.ErrPermission) {
		t.Fatal(err)
	}
	if most, err := highestPriority(); most > 0 || err != nil {
		t.Errorf("without an urgent audio thread, the highest priority is %d, %v", most, err)
	}
	ended := audioThread(t)
	defer close(ended)
	if err := Urgent(); errors.Is(err, fs.ErrPermission) {
		return // the system does not allow it: nothing has changed
	} else if err != nil {
		t.Fatal(err)
	}
	defer changeThreads(unix.SCHED_RR, unix.SchedAttr{Policy: unix.SCHED_NORMAL})
	policies := make(chan uint32)
	for range 8 {
		go func() {
			runtime.LockOSThread() // and is never unlocked: the thread ends with the goroutine
			attr, err := unix.SchedGetAttr(0, 0)
			if err != nil {
				t.Error(err)
			}
			policies <- attr.Policy
		}()
	}
	for range 8 {
		if policy := <-policies; policy != unix.SCHED_RR {
			t.Errorf("a new thread has the policy %d", policy)
		}
	}
	var said []byte
	err := Calmly(func() (err error) {
		said, err = exec.Command("sh", "-c", "cut -d' ' -f41 /proc/self/stat").Output() // proc_pid_stat(5): policy
		return err
	})
	if err != nil || strings.TrimSpace(string(said)) != "0" {
		t.Errorf("a program begins with the policy %s, %v; want 0, SCHED_OTHER", said, err)
	}
}

// audioThread is a thread of the usual priority of JACK's clients, where the system allows one, until it is closed.
func audioThread(t *testing.T) (end chan struct{}) {
	end = make(chan struct{})
	begun := make(chan struct{})
	go func() {
		runtime.LockOSThread()
		audio := unix.SchedAttr{Size: unix.SizeofSchedAttr, Policy: unix.SCHED_FIFO, Priority: 65}
		if err := unix.SchedSetAttr(0, &audio, 0); err != nil && !errors.Is(err, fs.ErrPermission) {
			t.Error(err)
		}
		close(begun)
		<-end
	}()
	<-begun
	return end
}
