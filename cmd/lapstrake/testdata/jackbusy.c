/* jackbusy SHARE SECONDS: a JACK client in plain C that is busy for SHARE percent of each period in the median, as a
 * player is: it mixes many stretches of a large memory. It prints the median and what one period in a thousand
 * exceeds, in percent of a period. */
#include <jack/jack.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

enum { STRETCHES = 1 << 13, STRETCH = 1 << 12 /* samples */, MOST = 1 << 17, STEPS = 4000 /* of 0.1 percent */ };

static float *memory;
static long at, stretches = 64, counts[STEPS + 1];
static double share, period_ns, lately;
static atomic_int counting;
static jack_port_t *out;

static double now_ns(void) {
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return t.tv_sec * 1e9 + t.tv_nsec;
}

static int process(jack_nframes_t frames, void *unused) {
	double began = now_ns();
	float *wave = jack_port_get_buffer(out, frames);
	for (jack_nframes_t i = 0; i < frames; i++)
		wave[i] = 0;
	for (long s = 0; s < stretches; s++) {
		const float *from = memory + (s * 97 % STRETCHES) * (long)STRETCH + at % (STRETCH / 2);
		for (jack_nframes_t i = 0; i < frames; i++)
			for (int tap = 0; tap < 24; tap++)
				wave[i] += from[i + tap] * 1e-6f;
	}
	at += frames;
	double took = now_ns() - began;
	if (atomic_load(&counting)) {
		long step = took / period_ns * 1000;
		counts[step < STEPS ? step : STEPS]++;
	} else { /* one step towards the share, against the sign of what is off: that finds the median */
		stretches += took < share / 100 * period_ns ? 1 + stretches / 64 : -1 - stretches / 64;
		if (stretches < 1)
			stretches = 1;
		if (stretches > STRETCHES)
			stretches = STRETCHES;
	}
	return 0;
}

static double exceeded(double part) {
	long all = 0, seen = 0;
	for (int i = 0; i <= STEPS; i++)
		all += counts[i];
	for (int i = 0; i <= STEPS; i++)
		if ((seen += counts[i]) >= part * all)
			return (i + 1) / 10.0;
	return STEPS / 10.0;
}

int main(int argc, char **argv) {
	if (argc != 3)
		return 2;
	share = atof(argv[1]);
	memory = malloc(sizeof *memory * STRETCHES * STRETCH);
	if (!memory)
		return 1;
	for (long i = 0; i < (long)STRETCHES * STRETCH; i++)
		memory[i] = i % 1000;
	jack_client_t *client = jack_client_open("jackbusy", JackNoStartServer, NULL);
	if (!client)
		return 1;
	out = jack_port_register(client, "out", JACK_DEFAULT_AUDIO_TYPE, JackPortIsOutput, 0);
	period_ns = 1e9 * jack_get_buffer_size(client) / jack_get_sample_rate(client);
	jack_set_process_callback(client, process, NULL);
	if (jack_activate(client))
		return 1;
	sleep(2);
	atomic_store(&counting, 1);
	sleep(atoi(argv[2]));
	atomic_store(&counting, 0);
	printf("%.1f %.1f\n", exceeded(0.5), exceeded(0.999));
	fflush(stdout);
	jack_client_close(client);
	return 0;
}
