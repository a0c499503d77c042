// Prints what libsndfile finds of an instrument in sound files, a line each:
// FILE frames rate channels root detune gain low high low_velocity high_velocity loops mode start end count
// or the first four where there is none; then the names of the places, each behind its frame.
#include <sndfile.h>
#include <stdio.h>

static void end_with_places(SNDFILE *file) {
	static SF_CUES cues;
	printf("\t");
	if (sf_command(file, SFC_GET_CUE, &cues, sizeof cues) == SF_TRUE)
		for (unsigned k = 0; k < cues.cue_count; k++)
			printf("%u=%s;", cues.cue_points[k].sample_offset, cues.cue_points[k].name);
	printf("\n");
}

int main(int argc, char **argv) {
	for (int i = 1; i < argc; i++) {
		SF_INFO info = {0};
		SNDFILE *file = sf_open(argv[i], SFM_READ, &info);
		if (!file) {
			fprintf(stderr, "%s: %s\n", argv[i], sf_strerror(NULL));
			return 1;
		}
		SF_INSTRUMENT in = {0};
		if (sf_command(file, SFC_GET_INSTRUMENT, &in, sizeof in) != SF_TRUE) {
			printf("%s\t%lld\t%d\t%d", argv[i], (long long)info.frames, info.samplerate, info.channels);
			end_with_places(file);
			sf_close(file);
			continue;
		}
		printf("%s\t%lld\t%d\t%d\t%d\t%d\t%d\t%d\t%d\t%d\t%d\t%d\t%d\t%u\t%u\t%u", argv[i],
			(long long)info.frames, info.samplerate, info.channels, in.basenote, in.detune, in.gain,
			in.key_lo, in.key_hi, in.velocity_lo, in.velocity_hi,
			in.loop_count, in.loops[0].mode, in.loops[0].start, in.loops[0].end, in.loops[0].count);
		end_with_places(file);
		sf_close(file);
	}
	return 0;
}
