// Lists as JSON shows them.

package main

// list copies items, so that JSON shows [] and never null where there are none.
func list[T any](items []T) []T { return append([]T{}, items...) }
