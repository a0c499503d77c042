// Urgency: Go's own threads beside the audio thread.

package live

import (
	"cmp"
	"errors"
	"os"
	"runtime"
	"strconv"

	"golang.org/x/sys/unix"
)

// urgentPriority is the lowest of real-time priorities: above all programs that have none, below every audio thread.
const urgentPriority = 1

// HowToBeUrgent says how to allow what Urgent was refused (common practice with PAM's limits).
const HowToBeUrgent = "put \"@audio - rtprio 95\" into /etc/security/limits.d/audio.conf, join the group audio and " +
	"log in again"

// Urgent gives all threads of this process the lowest real-time priority, those begun later too, once one that plays
// has a higher one. Go now and then takes the processor from a thread that calls it, however seldom, and gives it back
// through another thread; where that one waits behind other programs, so does the audio thread. An error that wraps
// fs.ErrPermission says that the system does not allow it.
func Urgent() error {
	if most, err := highestPriority(); err != nil || most <= urgentPriority {
		return cmp.Or(err, mayBeUrgent())
	}
	for {
		changed, err := changeThreads(unix.SCHED_NORMAL,
			unix.SchedAttr{Policy: unix.SCHED_RR, Priority: urgentPriority})
		if changed == 0 || err != nil { // a thread may have begun others meanwhile
			return err
		}
	}
}

// mayBeUrgent tries on one thread whether the system allows it.
func mayBeUrgent() error {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	before, err := unix.SchedGetAttr(0, 0)
	if err != nil || before.Policy != unix.SCHED_NORMAL {
		return err
	}
	urgent := unix.SchedAttr{Size: unix.SizeofSchedAttr, Policy: unix.SCHED_RR, Priority: urgentPriority}
	if err := unix.SchedSetAttr(0, &urgent, 0); err != nil {
		return err
	}
	return unix.SchedSetAttr(0, before, 0)
}

// threads calls do for each thread of this process and how it is scheduled.
func threads(do func(thread int, now *unix.SchedAttr) error) error {
	tasks, err := os.ReadDir("/proc/self/task")
	if err != nil {
		return err
	}
	for _, task := range tasks {
		thread, err := strconv.Atoi(task.Name())
		if err != nil {
			return err
		}
		now, err := unix.SchedGetAttr(thread, 0)
		if err == nil {
			err = do(thread, now)
		}
		if err != nil && !errors.Is(err, unix.ESRCH) { // else it has ended
			return err
		}
	}
	return nil
}

func highestPriority() (highest uint32, err error) {
	err = threads(func(_ int, now *unix.SchedAttr) error {
		highest = max(highest, now.Priority) // 0 without real time
		return nil
	})
	return highest, err
}

// changeThreads gives all threads of one policy another one, and counts them.
func changeThreads(from uint32, to unix.SchedAttr) (changed int, err error) {
	to.Size = unix.SizeofSchedAttr
	err = threads(func(thread int, now *unix.SchedAttr) error {
		if now.Policy != from {
			return nil
		}
		changed++
		return unix.SchedSetAttr(thread, &to, 0)
	})
	return changed, err
}

// Calmly calls do, which may start a program, without the priority that Urgent gave: a program inherits that of the
// thread that starts it.
func Calmly(do func() error) error {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	before, err := unix.SchedGetAttr(0, 0)
	if err == nil && before.Policy == unix.SCHED_RR {
		calm := unix.SchedAttr{Size: unix.SizeofSchedAttr, Policy: unix.SCHED_NORMAL}
		if unix.SchedSetAttr(0, &calm, 0) == nil {
			defer unix.SchedSetAttr(0, before, 0)
		}
	}
	return do()
}
