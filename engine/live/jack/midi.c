//go:build cgo && unix

// A JACK client with MIDI inputs. Messages keep their place in the period, which RtMidi leaves out. The process
// callback here allocates nothing and takes no lock.

#include "midi.h"
#include "jack.h"

#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char midi_type[] = "8 bit raw midi";

enum { ring_messages = 4096 };

struct midi_jack {
	jack_client *client;
	uint32_t rate_hz;
	_Atomic(jack_port *) inputs[midi_jack_inputs];
	_Atomic uint32_t lost[midi_jack_inputs];
	jack_process turn;

	// Both counts only ever rise.
	midi_jack_message ring[ring_messages];
	_Atomic uint32_t written, read;
};

// JACK delivers whole messages, each with its status byte. A system-exclusive one goes into the ring in pieces of two
// bytes. Returns how many places of the ring it took.
static uint32_t take(midi_jack *m, int input, const jack_midi_event *event, uint64_t period_micros, uint32_t written) {
	const unsigned char *bytes = event->buffer;
	int exclusive = event->size > 3 && event->size <= midi_jack_longest && bytes[0] == 0xF0;
	if (!exclusive && (event->size < 2 || event->size > 3 || bytes[0] < 0x80 || bytes[0] >= 0xF0))
		return 0;
	uint32_t pieces = exclusive ? (uint32_t)event->size / 2 : 1; // of what follows the status byte, rounded up
	if (written - atomic_load_explicit(&m->read, memory_order_acquire) + pieces > ring_messages) {
		atomic_fetch_add(&m->lost[input], 1);
		return 0;
	}
	for (uint32_t i = 0; i < pieces; i++)
		m->ring[(written + i) % ring_messages] = (midi_jack_message){
			.at_micros = period_micros + event->time * UINT64_C(1000000) / m->rate_hz,
			.input = (uint8_t)input,
			.status = i == 0 ? bytes[0] : midi_jack_more,
			.data1 = bytes[1 + 2 * i],
			.data2 = 2 + 2 * i < event->size ? bytes[2 + 2 * i] : 0,
		};
	return pieces;
}

static void process(uint32_t frames, void *argument) {
	midi_jack *m = argument;
	// Not when the period began by JACK's own filter: that takes seconds to find its way after a period was missed.
	uint64_t period_micros = jack.get_time();
	uint32_t written = atomic_load_explicit(&m->written, memory_order_relaxed);
	for (int i = 0; i < midi_jack_inputs; i++) {
		jack_port *input = atomic_load_explicit(&m->inputs[i], memory_order_acquire);
		if (input == NULL)
			continue;
		void *buffer = jack.port_get_buffer(input, frames);
		uint32_t count = jack.midi_get_event_count(buffer);
		for (uint32_t k = 0; k < count; k++) {
			jack_midi_event event;
			if (jack.midi_event_get(&event, buffer, k) == 0)
				written += take(m, i, &event, period_micros, written);
		}
	}
	atomic_store_explicit(&m->written, written, memory_order_release);
}

midi_jack *midi_jack_open(const char *client_name) {
	midi_jack *m = calloc(1, sizeof *m);
	if (m == NULL)
		return NULL;
	m->client = jack_take(client_name);
	if (m->client == NULL) {
		free(m);
		return NULL;
	}
	m->rate_hz = jack.get_sample_rate(m->client);
	m->turn = (jack_process){process, NULL, m};
	jack_run(jack_midi_turn, &m->turn);
	return m;
}

void midi_jack_close(midi_jack *m) {
	jack_run(jack_midi_turn, NULL);
	int used = 0;
	for (int i = 0; i < midi_jack_inputs; i++)
		used |= atomic_load(&m->inputs[i]) != NULL;
	if (used)
		jack_await_period();
	for (int i = 0; i < midi_jack_inputs; i++)
		midi_jack_remove(m, i);
	jack_release();
	free(m);
}

int midi_jack_alive(midi_jack *m) {
	(void)m;
	return jack_alive();
}

void midi_jack_senders(midi_jack *m, char *names, int room) {
	names[0] = 0;
	const char **found = jack.get_ports(m->client, NULL, midi_type, jack_port_is_output);
	if (found == NULL)
		return;
	for (int i = 0; found[i] != NULL; i++) {
		jack_port *sender = jack.port_by_name(m->client, found[i]);
		if (sender == NULL)
			continue;
		char kind = jack.port_flags(sender) & jack_port_is_physical ? 'h' : 'p';
		int used = snprintf(names, (size_t)room, "%c%s\n", kind, found[i]);
		if (used >= room) {
			names[0] = 0;
			break;
		}
		names += used;
		room -= used;
	}
	jack.free(found);
}

int midi_jack_add(midi_jack *m, const char *name, const char *sender) {
	int i = 0;
	while (i < midi_jack_inputs && atomic_load(&m->inputs[i]) != NULL)
		i++;
	if (i == midi_jack_inputs)
		return -1;
	if (!jack_ask())
		return -1;
	jack_port *input = jack.port_register(m->client, name, midi_type, jack_port_is_input, 0);
	if (input != NULL && sender[0] != 0 && jack.connect(m->client, sender, jack.port_name(input)) != 0) {
		jack.port_unregister(m->client, input);
		input = NULL;
	}
	jack_asked();
	if (input == NULL)
		return -1;
	atomic_store_explicit(&m->inputs[i], input, memory_order_release);
	return i;
}

void midi_jack_remove(midi_jack *m, int i) {
	jack_port *input = atomic_exchange(&m->inputs[i], NULL);
	if (input != NULL && jack_ask()) {
		jack.port_unregister(m->client, input);
		jack_asked();
	}
}

int midi_jack_receive(midi_jack *m, midi_jack_message *messages, int room, uint32_t *lost) {
	// Taken before the count: once all that was written is read, so is all that came before these losses.
	uint32_t lost_so_far[midi_jack_inputs];
	for (int i = 0; i < midi_jack_inputs; i++)
		lost_so_far[i] = atomic_load(&m->lost[i]);
	uint32_t written = atomic_load_explicit(&m->written, memory_order_acquire);
	uint32_t read = atomic_load_explicit(&m->read, memory_order_relaxed);
	int count = 0;
	while (read != written && count < room)
		messages[count++] = m->ring[read++ % ring_messages];
	atomic_store_explicit(&m->read, read, memory_order_release);
	if (read == written)
		memcpy(lost, lost_so_far, sizeof lost_so_far);
	return count;
}

uint64_t midi_jack_micros(midi_jack *m) {
	(void)m;
	return jack.get_time();
}
