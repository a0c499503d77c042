//go:build cgo && unix

// A JACK client with two outputs. The process callback here takes no lock and makes no system call.

#include "output.h"
#include "jack.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static const char audio_type[] = "32 bit float mono audio";

struct output_jack {
	jack_process turn;
	jack_client *client;
	jack_port *left, *right;
	uintptr_t handle;
	atomic_llong calls, underruns;

	// The ring, whole blocks long. Both counts of frames only ever rise.
	float *ring_left, *ring_right;
	uint32_t ring_frames, block_frames;
	_Atomic uint64_t written, read;
	pthread_t filler;
	int filling;
	atomic_int stop;
};

extern void jackOutputRender(uintptr_t handle, float *left, float *right, uint32_t frames);
extern int jackOutputReady(uintptr_t handle, uint32_t frames);

// fill is the thread that keeps the ring full. It looks twice a block whether there is room, and whether a block is
// ready as long as that can wait: while there is a period and a block to play.
static void *fill(void *argument) {
	output_jack *o = argument;
	const struct timespec pause = {0, 500000000LL * o->block_frames / jack.get_sample_rate(o->client)};
	while (!atomic_load(&o->stop)) {
		uint64_t at = atomic_load_explicit(&o->written, memory_order_relaxed);
		uint64_t waiting = at - atomic_load_explicit(&o->read, memory_order_acquire);
		int can_wait = waiting >= jack.get_buffer_size(o->client) + o->block_frames;
		if (o->ring_frames - waiting < o->block_frames || (can_wait && !jackOutputReady(o->handle, o->block_frames))) {
			nanosleep(&pause, NULL);
			continue;
		}
		uint32_t from = at % o->ring_frames;
		jackOutputRender(o->handle, o->ring_left + from, o->ring_right + from, o->block_frames);
		atomic_store_explicit(&o->written, at + o->block_frames, memory_order_release);
	}
	return NULL;
}

static void read_ring(output_jack *o, float *left, float *right, uint32_t frames) {
	uint64_t at = atomic_load_explicit(&o->read, memory_order_relaxed);
	uint64_t waiting = atomic_load_explicit(&o->written, memory_order_acquire) - at;
	uint32_t take = waiting < frames ? (uint32_t)waiting : frames;
	for (uint32_t i = 0; i < take; i++) {
		uint32_t from = (at + i) % o->ring_frames;
		left[i] = o->ring_left[from];
		right[i] = o->ring_right[from];
	}
	memset(left + take, 0, (frames - take) * sizeof *left);
	memset(right + take, 0, (frames - take) * sizeof *right);
	atomic_store_explicit(&o->read, at + take, memory_order_release);
	if (take < frames && at > 0)
		atomic_fetch_add(&o->underruns, 1);
}

static void process(uint32_t frames, void *argument) {
	output_jack *o = argument;
	float *left = jack.port_get_buffer(o->left, frames), *right = jack.port_get_buffer(o->right, frames);
	if (o->ring_frames > 0)
		read_ring(o, left, right, frames);
	else
		jackOutputRender(o->handle, left, right, frames);
	atomic_fetch_add(&o->calls, 1);
}

static void late(void *argument) {
	output_jack *o = argument;
	atomic_fetch_add(&o->underruns, 1);
}

output_jack *output_jack_open(const char *client_name) {
	output_jack *o = calloc(1, sizeof *o);
	if (o == NULL)
		return NULL;
	o->client = jack_take(client_name);
	if (o->client == NULL) {
		free(o);
		return NULL;
	}
	return o;
}

uint32_t output_jack_rate(output_jack *o) { return jack.get_sample_rate(o->client); }

uint32_t output_jack_block(output_jack *o) { return jack.get_buffer_size(o->client); }

const char **output_jack_inputs(output_jack *o) {
	return jack.get_ports(o->client, NULL, audio_type, jack_port_is_input);
}

void output_jack_free(const char **names) {
	if (names != NULL)
		jack.free(names);
}

uint32_t output_jack_latency(output_jack *o, const char *input) {
	jack_latency_range range = {0, 0};
	jack_port *port = jack.port_by_name(o->client, input);
	if (port != NULL)
		jack.port_get_latency_range(port, jack_playback_latency, &range);
	return range.max;
}

int output_jack_has(output_jack *o, const char *input) { return jack.port_by_name(o->client, input) != NULL; }

// start_filling makes the ring and its thread, just below the urgency of the process callback.
static int start_filling(output_jack *o, uint32_t ring_frames) {
	o->ring_frames = ring_frames;
	o->ring_left = calloc(ring_frames, sizeof *o->ring_left);
	o->ring_right = calloc(ring_frames, sizeof *o->ring_right);
	if (o->ring_left == NULL || o->ring_right == NULL)
		return -1;
	int realtime = jack.is_realtime(o->client), priority = jack.client_real_time_priority(o->client) - 1;
	o->filling = jack.client_create_thread(o->client, &o->filler, priority, realtime, fill, o) == 0;
	return o->filling ? 0 : -1;
}

int output_jack_start(output_jack *o, const char *left, const char *right, uint32_t block_frames, uint32_t ring_blocks,
                      uintptr_t handle) {
	o->handle = handle;
	o->block_frames = block_frames;
	if (!jack_ask())
		return 1;
	o->left = jack.port_register(o->client, "out_1", audio_type, jack_port_is_output, 0);
	o->right = jack.port_register(o->client, "out_2", audio_type, jack_port_is_output, 0);
	jack_asked();
	if (o->left == NULL || o->right == NULL) {
		jack_abandon(); // a server that has just stood still may have ports of ours that we know nothing of
		return 1;
	}
	if (ring_blocks > 0 && start_filling(o, ring_blocks * block_frames) != 0)
		return 2;
	o->turn = (jack_process){process, late, o};
	jack_run(jack_audio_turn, &o->turn);
	if (!jack_ask())
		return 3;
	int wrong = jack.connect(o->client, jack.port_name(o->left), left) != 0 ||
	            jack.connect(o->client, jack.port_name(o->right), right) != 0;
	jack_asked();
	return wrong ? 3 : 0;
}

int64_t output_jack_calls(output_jack *o) { return atomic_load(&o->calls); }

int64_t output_jack_underruns(output_jack *o) { return atomic_load(&o->underruns); }

void output_jack_close(output_jack *o) {
	if (o->turn.run != NULL)
		jack_run(jack_audio_turn, NULL);
	atomic_store(&o->stop, 1);
	if (o->filling)
		pthread_join(o->filler, NULL);
	if (o->left != NULL || o->right != NULL)
		jack_await_period();
	if (jack_ask()) {
		int kept = 0;
		if (o->left != NULL)
			kept |= jack.port_unregister(o->client, o->left);
		if (o->right != NULL)
			kept |= jack.port_unregister(o->client, o->right);
		if (kept != 0)
			jack_abandon();
		jack_asked();
	}
	jack_release();
	free(o->ring_left);
	free(o->ring_right);
	free(o);
}
