// A hint that a voice's source will be needed soon.

package voices

// Prefetch asks the processor to bring src into its first cache and returns at once. With more voices than
// the caches hold, call it for the source frames of the next voice before mixing the present one: that saves
// 5 to 9 % (BenchmarkPrefetch). It changes nothing, whatever is in src, and does nothing on processors other
// than amd64.
//
// Audio thread. No allocation, lock, system call or log.
func Prefetch(src []float32) {
	if len(src) > 0 {
		prefetchLines(&src[0], len(src))
	}
}
