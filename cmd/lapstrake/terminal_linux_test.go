// Keys typed at a terminal reach the player, and the terminal comes back as it was.

package main

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"golang.org/x/sys/unix"
)

// openPair opens a pseudo-terminal: what is written to keyboard is typed at tty.
func openPair(t testing.TB) (keyboard, tty *os.File) {
	keyboard, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	requireNil(t, err)
	requireNil(t, unix.IoctlSetPointerInt(int(keyboard.Fd()), unix.TIOCSPTLCK, 0))
	number, err := unix.IoctlGetInt(int(keyboard.Fd()), unix.TIOCGPTN)
	requireNil(t, err)
	tty, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|unix.O_NOCTTY, 0)
	requireNil(t, err)
	t.Cleanup(func() { keyboard.Close(); tty.Close() })
	return keyboard, tty
}

func requireNil(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func termios(t *testing.T, tty *os.File) unix.Termios {
	t.Helper()
	state, err := unix.IoctlGetTermios(int(tty.Fd()), unix.TCGETS)
	requireNil(t, err)
	return *state
}

const echoAndSignals = unix.ECHO | unix.ICANON | unix.ISIG

func TestTerminalGivesKeysAndComesBack(t *testing.T) {
	keyboard, tty := openPair(t)
	before := termios(t, tty)
	if before.Lflag&echoAndSignals != echoAndSignals {
		t.Fatal("a new terminal should echo, wait for lines and make signals")
	}
	keys, err := openTerminal(tty)
	requireNil(t, err)
	defer keys.Close()
	if raw := termios(t, tty); raw.Lflag&echoAndSignals != 0 {
		t.Errorf("while playing the local flags are %#x: it must not echo, wait for lines or make signals", raw.Lflag)
	}
	_, err = io.WriteString(keyboard, "l\x1b[A\x1a \x03")
	requireNil(t, err)
	for _, want := range []playKey{playLatch, playDynamicsUp, playSilence, playStop} {
		if got := <-keys.Keys(); got != want {
			t.Fatalf("key %d came, want %d", got, want)
		}
	}
	// Given back before stop is handed over: a second Ctrl-C is a signal even if the player hangs.
	if after := termios(t, tty); after != before {
		t.Errorf("after stop the terminal is %+v, it was %+v", after, before)
	}
}

// On a terminal the status line is drawn in place, fits its width and follows a change of it; a dumb
// terminal gets plain lines, as a file does.
func TestStatusLineOnATerminal(t *testing.T) {
	screen, tty := openPair(t)
	keys, err := openTerminal(tty) // raw: what is printed arrives as it is
	requireNil(t, err)
	defer keys.Close()
	t.Setenv("TERM", "xterm")
	line := newStatusLine(tty)
	for columns, want := range map[uint16]string{
		12: "\r -6.0 dBFS\x1b[K",
		30: "\r -6.0 dBFS  dynamics   0\x1b[K",
		300: "\r[=========== ]   -6.0 dBFS  dynamics   0  volume   0.0 dB  voices   0  load   0 %, worst   0 %  " +
			"underruns 0  late reads 0\x1b[K",
	} {
		requireNil(t, unix.IoctlSetWinsize(int(screen.Fd()), unix.TIOCSWINSZ, &unix.Winsize{Row: 10, Col: columns}))
		line.show(someTime, status{peakDBFS: -6})
		got := make([]byte, len(want))
		_, err := io.ReadFull(screen, got)
		requireNil(t, err)
		if string(got) != want {
			t.Errorf("%d columns: %q, want %q", columns, got, want)
		}
	}
	t.Setenv("TERM", "dumb")
	if newStatusLine(tty).size != nil {
		t.Error("a terminal that cannot erase gets a line to erase")
	}
}

func TestTerminalComesBackInAPanic(t *testing.T) {
	_, tty := openPair(t)
	before := termios(t, tty)
	func() {
		defer func() { recover() }()
		keys, err := openTerminal(tty)
		requireNil(t, err)
		defer keys.Close()
		panic("in the player")
	}()
	if after := termios(t, tty); after != before {
		t.Errorf("after a panic the terminal is %+v, it was %+v", after, before)
	}
}

// Standard input that is no terminal belongs to someone else: it keeps its bytes.
func TestTerminalLeavesAPipeAlone(t *testing.T) {
	out, in, err := os.Pipe()
	requireNil(t, err)
	keys, err := openTerminal(out)
	requireNil(t, err)
	io.WriteString(in, "q")
	in.Close()
	rest, err := io.ReadAll(out)
	requireNil(t, err)
	if string(rest) != "q" {
		t.Errorf("%q is left of q", rest)
	}
	keys.Close()
	select {
	case key := <-keys.Keys():
		t.Errorf("key %d came from a pipe", key)
	default:
	}
}

// However long a key is held down while the player is busy, Ctrl-C comes through, and last.
func TestTerminalKeepsRoomForStop(t *testing.T) {
	keys := terminal{keys: make(chan playKey, 16)}
	keys.read(strings.NewReader(strings.Repeat("+", 400) + "\x03"))
	for range len(keys.keys) - 1 {
		if got := <-keys.keys; got != playLouder {
			t.Fatalf("key %d came, want louder", got)
		}
	}
	if got := <-keys.keys; got != playStop {
		t.Errorf("key %d came last, want stop", got)
	}
}

// parse gives the keys in what is typed without a pause.
func parse(typed string) (keys []playKey) {
	var parser keyParser
	for _, b := range []byte(typed) {
		if key := parser.take(b); key != playNothing {
			keys = append(keys, key)
		}
	}
	return keys
}

// Sequences as ECMA-48 has them and as xterm's "Control Sequences" and console_codes(4) list them for
// these keys. Each is followed by a key of ours, which must still count.
func TestOtherKeysAreNotMisread(t *testing.T) {
	for name, sequence := range map[string]string{
		"page up": "\x1b[5~", "delete": "\x1b[3~",
		"F1": "\x1bOP", "F2": "\x1bOQ", "F5": "\x1b[15~", "F1 of the console": "\x1b[[A", "Ctrl-right": "\x1b[1;5C",
		"2 on the keypad, application mode": "\x1bOr", "comma there": "\x1bOl", "minus there": "\x1bOm",
		"Alt-q": "\x1bq", "shift-tab": "\x1b[Z", "focus": "\x1b[I",
		"a letter with two bytes": "é", "Ctrl-Z": "\x1a", "y": "y", "final byte q": "\x1b[1 q",
	} {
		if got := parse(sequence + "l"); !slices.Equal(got, []playKey{playLatch}) {
			t.Errorf("%s, then l: keys %v, want %v alone", name, got, playLatch)
		}
	}
	if got := parse("\x1b[1\x03"); !slices.Equal(got, []playKey{playStop}) {
		t.Errorf("Ctrl-C within a sequence: keys %v, want stop", got)
	}
}

// Every key of the table does what the table says, and the help has them all; no two rows share a key.
func TestKeysMeanWhatTheHelpSays(t *testing.T) {
	help := strings.Join(playKeysHelp(), "\n")
	seen := map[byte]bool{}
	for _, use := range keyUses {
		if !strings.Contains(help, use.about) || !strings.Contains(help, use.name) {
			t.Errorf("the help lacks %q", use.about)
		}
		for _, b := range []byte(use.typed) {
			if seen[b] {
				t.Errorf("%q is in two rows", b)
			}
			seen[b] = true
			if got := parse(string(b)); !slices.Equal(got, []playKey{use.key}) {
				t.Errorf("%q: keys %v, want %v", b, got, use.key)
			}
		}
	}
	for typed, want := range map[string]playKey{
		"\x1b[A": playDynamicsUp, "\x1bOB": playDynamicsDown, "\x1b[C": playVolumeUp, "\x1bOD": playVolumeDown,
		"1": playPick1, "9": playPick1 + 8,
		"\r": playStrike, " ": playSilence, "\x03": playStop, "e": playExchange, "\t": playPickNext,
	} {
		if got := parse(typed); !slices.Equal(got, []playKey{want}) {
			t.Errorf("%q: keys %v, want %v", typed, got, want)
		}
	}
}

// Escape alone, then q after the time a hand takes: q counts. A sequence that comes in pieces stays one.
func TestEscapeAlone(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		typed, keyboard := io.Pipe()
		keys := terminal{keys: make(chan playKey, 16)}
		go keys.read(typed)
		for _, piece := range []string{"\x1b", "O", "p"} { // keypad 0
			io.WriteString(keyboard, piece)
			time.Sleep(escapeGap / 10)
		}
		io.WriteString(keyboard, "\x1b")
		time.Sleep(2 * escapeGap)
		io.WriteString(keyboard, "q")
		if got := <-keys.keys; got != playStop {
			t.Errorf("key %d came first, want stop", got)
		}
	})
}
