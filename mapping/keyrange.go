// KeyRange: keys that stand side by side.

package mapping

// KeyRange is all keys from Low to High, both included.
type KeyRange struct{ Low, High int }
