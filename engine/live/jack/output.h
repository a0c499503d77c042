// A JACK client with two outputs. libjack is loaded at run time, so a program built with this runs without it.
#ifndef LAPSTRAKE_OUTPUT_JACK_H
#define LAPSTRAKE_OUTPUT_JACK_H

#include <stdint.h>

typedef struct output_jack output_jack;

// Connects to the running server, never starting one; NULL where there is no libjack or no server.
output_jack *output_jack_open(const char *client_name);
uint32_t output_jack_rate(output_jack *);
uint32_t output_jack_block(output_jack *);

// The full names of all audio inputs of other clients, ended by NULL; to be freed with output_jack_free.
const char **output_jack_inputs(output_jack *);
void output_jack_free(const char **names);

// Frames from the input of this full name to the loudspeaker.
uint32_t output_jack_latency(output_jack *, const char *input);

// Whether there is an input of this full name.
int output_jack_has(output_jack *, const char *input);

// Begins to play into two inputs. Sound comes from jackOutputRender, which gets handle: in the server's own call with
// ring_blocks 0; otherwise a thread of its own keeps a ring of so many blocks of block_frames filled, as jackOutputReady
// says that they are ready.
// Returns 0, or the number of the step that failed.
int output_jack_start(output_jack *, const char *left, const char *right, uint32_t block_frames, uint32_t ring_blocks,
                      uintptr_t handle);

// How often the server asked for a block, and how often there was a gap.
int64_t output_jack_calls(output_jack *);
int64_t output_jack_underruns(output_jack *);

// Leaves the server, and frees everything. No call may follow.
void output_jack_close(output_jack *);

#endif
