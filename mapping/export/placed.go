package export

import "strings"

// placedError tells of a file where it was to be, not where it was being written.
type placedError struct {
	error
	text string
}

func (e placedError) Error() string { return e.text }
func (e placedError) Unwrap() error { return e.error }

// withoutTemp puts the target's name into an error.
func (w *writer) withoutTemp(err error) error {
	return placedError{err, strings.ReplaceAll(err.Error(), w.dir, w.report.Output)}
}
