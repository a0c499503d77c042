/* jacksend PORT: a JACK client for the tests. It sends the MIDI of standard input to PORT, one message a line, its
 * frame, how many bytes it has and the bytes, in decimal, and gives a click of one frame at the frame of each note-on:
 * one recording then holds when a note was sent and when it sounds, on the same clock.
 *
 * It says "connected" on standard error once it is connected to PORT. Frame 0 is the beginning of the first period in
 * which both of its ports are connected. It ends when all is sent. */
#include <jack/jack.h>
#include <jack/midiport.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { MOST = 1 << 16, MOST_BYTES = 1 << 19, NOTE_ON = 0x90 };
enum { LAST_PERIODS = 4 }; /* so that the last message is taken before the port goes */

static struct event { long frame; unsigned length, at; } events[MOST];
static jack_midi_data_t bytes[MOST_BYTES];
static int count, next;
static long now, begun = -1;
static atomic_int periods_after;
static jack_port_t *midi, *click;

static int process(jack_nframes_t frames, void *unused) {
	void *messages = jack_port_get_buffer(midi, frames);
	float *wave = jack_port_get_buffer(click, frames);
	jack_midi_clear_buffer(messages);
	memset(wave, 0, frames * sizeof *wave);
	if (begun < 0 && jack_port_connected(midi) && jack_port_connected(click))
		begun = now;
	for (; begun >= 0 && next < count && events[next].frame < now - begun + frames; next++) {
		long at = events[next].frame - (now - begun);
		jack_midi_data_t *b = bytes + events[next].at;
		jack_midi_event_write(messages, at, b, events[next].length);
		if ((b[0] & 0xF0) == NOTE_ON && b[2] > 0)
			wave[at] = 0.5f;
	}
	now += frames;
	if (next == count && begun >= 0)
		atomic_fetch_add(&periods_after, 1);
	return 0;
}

static void server_is_gone(void *unused) { _exit(1); }

static void fail(const char *what) {
	fprintf(stderr, "jacksend: %s\n", what);
	exit(1);
}

int main(int argc, char **argv) {
	if (argc != 2)
		fail("expected the port to send to");
	unsigned used = 0, value;
	for (struct event *e = events; count < MOST && scanf("%ld %u", &e->frame, &e->length) == 2; e++, count++) {
		e->at = used;
		for (unsigned i = 0; i < e->length; i++) {
			if (used == MOST_BYTES || scanf("%u", &value) != 1)
				fail("a message is cut short");
			bytes[used++] = value;
		}
	}
	jack_client_t *client = jack_client_open("jacksend", JackNoStartServer, NULL);
	if (!client)
		fail("no JACK server");
	midi = jack_port_register(client, "midi", JACK_DEFAULT_MIDI_TYPE, JackPortIsOutput, 0);
	click = jack_port_register(client, "click", JACK_DEFAULT_AUDIO_TYPE, JackPortIsOutput, 0);
	jack_set_process_callback(client, process, NULL);
	jack_on_shutdown(client, server_is_gone, NULL);
	if (!midi || !click || jack_activate(client))
		fail("cannot be activated");
	if (jack_connect(client, "jacksend:midi", argv[1]))
		fail("cannot connect to that port");
	fputs("connected\n", stderr);
	while (atomic_load(&periods_after) < LAST_PERIODS)
		usleep(1000);
	return jack_client_close(client);
}
