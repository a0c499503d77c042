// A JACK client with MIDI inputs. libjack is loaded at run time, so a program built with this runs without it.
#ifndef LAPSTRAKE_MIDI_JACK_H
#define LAPSTRAKE_MIDI_JACK_H

#include <stdint.h>

// midi_jack_longest is how many bytes of a system-exclusive message are taken in; longer ones are left out.
enum { midi_jack_inputs = 32, midi_jack_longest = 512, midi_jack_more = 0xF1 };

typedef struct midi_jack midi_jack;

// A channel message: when it is due on the JACK clock, and at which of our inputs. Of a system-exclusive message, the first
// piece has the status 0xF0 and the others midi_jack_more; each holds two bytes, the last perhaps one and a 0 after its end.
typedef struct {
	uint64_t at_micros;
	uint8_t input, status, data1, data2;
} midi_jack_message;

// Connects to the running server, never starting one; NULL where there is no libjack or no server.
midi_jack *midi_jack_open(const char *client_name);
int midi_jack_alive(midi_jack *);

// Puts the names of all MIDI ports that send into names, each after 'h' (hardware) or 'p' (a program's) and before a
// newline, as many as there is room for.
void midi_jack_senders(midi_jack *, char *names, int room);

// Makes an input called name and connects sender to it, which may be empty.
// Returns its number, or -1.
int midi_jack_add(midi_jack *, const char *name, const char *sender);
void midi_jack_remove(midi_jack *, int input);

// Puts what has come into messages, as much as there is room for, and returns how many. lost[input] counts the messages
// there was no room for and that were due before those still to come. Never waits. One thread at a time.
int midi_jack_receive(midi_jack *, midi_jack_message *messages, int room, uint32_t *lost);

// Leaves the server, and frees everything. No call may follow, nor may one be under way.
void midi_jack_close(midi_jack *);

// The JACK clock.
uint64_t midi_jack_micros(midi_jack *);

#endif
