// Times general-purpose resampling libraries at this package's task: stereo voices, each at a pitch of its own
// choosing, pulled in blocks of 64 frames, scaled and mixed.
//
//	cc -O2 -o peers peers.c -lsamplerate -lsoxr -lm
//	echo | ./peers sinc-fastest 1 0.749     one voice, its source in cache
//	echo | ./peers soxr-variable 1000 0.749 1000 voices, each with 16384 source frames of its own
//
// Arguments: library, voices, source frames per output frame. For every line read from standard input it times one
// pass and prints the nanoseconds of thread CPU time per voice and output frame, so a caller can take turns with it.
#include <samplerate.h>
#include <soxr.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { BLOCK = 64, SOURCE_FRAMES = 16384, CHUNK = 128, PASS_BLOCKS = 1000 };

typedef struct {
	float *source; // interleaved stereo, played round and round
	long next;
	SRC_STATE *samplerate;
	soxr_t soxr;
	double step;
} voice;

static void fail(const char *what, const char *why) {
	fprintf(stderr, "peers: %s: %s\n", what, why);
	exit(1);
}

static long chunk(voice *v, float **data, long frames) {
	if (v->next + frames > SOURCE_FRAMES)
		v->next = 0;
	*data = v->source + 2 * v->next;
	v->next += frames;
	return frames;
}

static long feed_samplerate(void *state, float **data) { return chunk(state, data, CHUNK); }

static size_t feed_soxr(void *state, soxr_in_t *data, size_t wanted) {
	float *start;
	long frames = chunk(state, &start, wanted < CHUNK ? (long)wanted : CHUNK);
	*data = start;
	return (size_t)frames;
}

static void open_voice(voice *v, const char *library) {
	if (!strcmp(library, "sinc-fastest")) {
		int error;
		v->samplerate = src_callback_new(feed_samplerate, SRC_SINC_FASTEST, 2, &error, v);
		if (!v->samplerate)
			fail(library, src_strerror(error));
	} else if (!strcmp(library, "soxr-variable")) {
		soxr_error_t error;
		soxr_io_spec_t io = soxr_io_spec(SOXR_FLOAT32_I, SOXR_FLOAT32_I);
		soxr_quality_spec_t quality = soxr_quality_spec(SOXR_HQ, SOXR_VR);
		soxr_runtime_spec_t runtime = soxr_runtime_spec(1);
		v->soxr = soxr_create(2, 1, 2, &error, &io, &quality, &runtime); // 2: the greatest step it must follow
		if (!error)
			error = soxr_set_io_ratio(v->soxr, v->step, 0);
		if (!error)
			error = soxr_set_input_fn(v->soxr, feed_soxr, v, CHUNK);
		if (error)
			fail(library, error);
	} else
		fail(library, "not known: use sinc-fastest or soxr-variable");
}

static void mix_block(voice *v, float *mix) {
	float out[2 * BLOCK];
	long frames = v->samplerate ? src_callback_read(v->samplerate, 1 / v->step, BLOCK, out)
	                            : (long)soxr_output(v->soxr, out, BLOCK);
	if (frames != BLOCK)
		fail("reading a block", "short");
	for (int i = 0; i < 2 * BLOCK; i++)
		mix[i] += 0.5f * out[i];
}

static double now(void) {
	struct timespec t;
	clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
	return (double)t.tv_sec * 1e9 + (double)t.tv_nsec;
}

static double time_rounds(voice *voices, int count, long rounds) {
	float mix[2 * BLOCK] = {0};
	double start = now();
	for (long r = 0; r < rounds; r++)
		for (int i = 0; i < count; i++)
			mix_block(&voices[i], mix);
	return (now() - start) / ((double)rounds * count * BLOCK);
}

int main(int argc, char **argv) {
	if (argc != 4)
		fail("three arguments are needed", "library, voices, source frames per output frame");
	int count = atoi(argv[2]);
	double step = atof(argv[3]);
	if (count < 1 || step <= 0 || step > 1)
		fail("arguments", "voices must be at least 1, source frames per output frame above 0 and at most 1");
	voice *voices = calloc((size_t)count, sizeof *voices);
	float *sources = malloc(sizeof(float) * 2 * SOURCE_FRAMES * (size_t)count);
	if (!voices || !sources)
		fail("voices", "out of memory");
	for (size_t i = 0; i < (size_t)count * 2 * SOURCE_FRAMES; i++)
		sources[i] = (float)(rand() / (double)RAND_MAX - 0.5);
	for (int i = 0; i < count; i++) {
		voices[i].source = sources + (size_t)i * 2 * SOURCE_FRAMES;
		voices[i].next = (long)i * 997 % (SOURCE_FRAMES / 2);
		voices[i].step = step;
		open_voice(&voices[i], argv[1]);
	}
	long rounds = PASS_BLOCKS / count > 0 ? PASS_BLOCKS / count : 1;
	time_rounds(voices, count, 64); // past the first fill of the libraries' buffers
	// the libraries work in bouts of their own: spread them, so that each pass has its share
	for (int i = 0; i < count; i++)
		time_rounds(&voices[i], 1, i % 16);
	while (getchar() != EOF) {
		printf("%.3f\n", time_rounds(voices, count, rounds));
		fflush(stdout);
	}
	return 0;
}
