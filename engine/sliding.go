// Sums and minima over the last so many values, in whole numbers, so that nothing drifts.

package engine

// runningSum sums the last len(values) values.
type runningSum struct {
	values []int64
	at     int
	sum    int64
}

func newRunningSum(length int, start int64) runningSum {
	values := make([]int64, length)
	for i := range values {
		values[i] = start
	}
	return runningSum{values: values, sum: int64(length) * start}
}

func (m *runningSum) next(value int64) (sum int64) {
	m.sum += value - m.values[m.at]
	m.values[m.at] = value
	if m.at++; m.at == len(m.values) {
		m.at = 0
	}
	return m.sum
}

// minimumWindow gives the least of the last length values. It keeps, in a ring, only those values that no
// later one is below: they rise from the oldest to the newest, and the oldest is the least. A
// value of unity, which is the largest, need not be kept at all.
type minimumWindow struct {
	length       int64
	values       []int64
	times        []int64
	oldest, kept int
	now          int64
}

func newMinimumWindow(length int) minimumWindow {
	return minimumWindow{length: int64(length), values: make([]int64, length+1), times: make([]int64, length+1)}
}

func (w *minimumWindow) next(value int64) (least int64) {
	w.now++
	if w.kept > 0 && w.times[w.oldest] <= w.now-w.length {
		w.oldest = w.wrap(w.oldest + 1)
		w.kept--
	}
	if value < unity {
		for w.kept > 0 && w.values[w.wrap(w.oldest+w.kept-1)] >= value {
			w.kept--
		}
		end := w.wrap(w.oldest + w.kept)
		w.values[end], w.times[end] = value, w.now
		w.kept++
	}
	if w.kept == 0 {
		return unity
	}
	return w.values[w.oldest]
}

func (w *minimumWindow) wrap(index int) int {
	if index >= len(w.values) {
		index -= len(w.values)
	}
	return index
}
