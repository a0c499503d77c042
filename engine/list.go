// Events that are known beforehand.

package engine

// List is events that are known beforehand, such as a score's, in order.
type List struct{ events []Event }

// NewList makes a list of events that are sorted by frame.
func NewList(events []Event) *List { return &List{events} }

// Peek returns the next event. Audio thread.
func (l *List) Peek() (Event, bool) {
	if len(l.events) == 0 {
		return Event{}, false
	}
	return l.events[0], true
}

// Pop takes the next event off. Audio thread.
func (l *List) Pop() { l.events = l.events[1:] }
