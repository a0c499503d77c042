// Errors that name a file's final place.

package export

import "strings"

// placedError is an error with another text.
type placedError struct {
	error
	text string
}

func (e placedError) Error() string { return e.text }
func (e placedError) Unwrap() error { return e.error }

// withoutTemp replaces the hidden folder that files are written in by the export's own in the text of an error.
func (w *writer) withoutTemp(err error) error {
	return placedError{err, strings.ReplaceAll(err.Error(), w.dir, w.report.Output)}
}
