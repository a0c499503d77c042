// libjack, loaded at run time, so that a program built with this runs where there is none; and the JACK clients of this
// process.
#ifndef LAPSTRAKE_JACK_H
#define LAPSTRAKE_JACK_H

#include <pthread.h>
#include <stddef.h>
#include <stdint.h>

// What is used of JACK's C interface, as its headers <jack/jack.h>, <jack/midiport.h> and <jack/types.h> fix it.
typedef void jack_client;
typedef void jack_port;
typedef struct { uint32_t min, max; } jack_latency_range;
typedef struct { uint32_t time; size_t size; uint8_t *buffer; } jack_midi_event;
enum { jack_port_is_input = 1, jack_port_is_output = 2, jack_port_is_physical = 4, jack_playback_latency = 1 };

extern struct jack_functions {
	jack_client *(*client_open)(const char *, int options, int *status, ...);
	int (*client_close)(jack_client *);
	int (*activate)(jack_client *);
	uint32_t (*get_sample_rate)(jack_client *);
	uint32_t (*get_buffer_size)(jack_client *);
	uint64_t (*get_time)(void);
	const char **(*get_ports)(jack_client *, const char *name, const char *type, unsigned long flags);
	void (*free)(void *);
	jack_port *(*port_by_name)(jack_client *, const char *);
	int (*port_flags)(const jack_port *);
	const char *(*port_name)(const jack_port *);
	void (*port_get_latency_range)(jack_port *, int mode, jack_latency_range *);
	jack_port *(*port_register)(jack_client *, const char *, const char *type, unsigned long flags, unsigned long size);
	int (*port_unregister)(jack_client *, jack_port *);
	void *(*port_get_buffer)(jack_port *, uint32_t frames);
	int (*connect)(jack_client *, const char *from, const char *to);
	uint32_t (*midi_get_event_count)(void *buffer);
	int (*midi_event_get)(jack_midi_event *, void *buffer, uint32_t index);
	int (*set_process_callback)(jack_client *, int (*)(uint32_t, void *), void *);
	int (*set_xrun_callback)(jack_client *, int (*)(void *), void *);
	void (*on_shutdown)(jack_client *, void (*)(void *), void *);
	int (*is_realtime)(jack_client *);
	int (*client_real_time_priority)(jack_client *);
	int (*client_create_thread)(jack_client *, pthread_t *, int priority, int realtime, void *(*)(void *), void *);
	void (*set_error_function)(void (*)(const char *));
	void (*set_info_function)(void (*)(const char *));
} jack;

// The process has one client: libjack (1.9) mixes up the wake-ups of two in one process while other programs come and go.
// Its users share it.

// Opens the client, never starting a server, or shares the one that is open; every success is to be released once. NULL
// where there is no libjack or no server, and while somebody still holds the client of a server that has gone.
jack_client *jack_take(const char *name);
void jack_release(void);

// To be called around all that asks the server something: libjack lets two threads of a client read each other's
// answers, and then aborts the program. 0, and nothing is to be asked or ended, once the server has gone.
int jack_ask(void);
void jack_asked(void);

// Whether the server is there.
int jack_alive(void);

// How many periods the server has asked for so far.
unsigned jack_periods(void);

// Waits for the server's next period. Where none comes, the server stands still: it counts as gone from then on, and no
// user asks it for anything any more. A request that it does not answer costs seconds, and leaves it with our ports.
void jack_await_period(void);

// Counts the server as gone, since it has lost track of this client: all users let go of it, and the next one opens
// another.
void jack_abandon(void);

// What a user does in the server's audio thread, every period; late, where not NULL, is told of periods that came late.
typedef struct {
	void (*run)(uint32_t frames, void *argument);
	void (*late)(void *argument);
	void *argument;
} jack_process;

// The two that run, MIDI first. NULL ends one, and returns when it does not run any more.
enum jack_turn { jack_midi_turn, jack_audio_turn, jack_turns };
void jack_run(enum jack_turn, jack_process *);

#endif
