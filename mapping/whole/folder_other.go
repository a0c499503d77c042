// Folders on other systems.

//go:build !linux

package whole

func exchange(one, other string) error { return exchangeInSteps(one, other) }

// syncFolder does nothing: other systems cannot, or need not, bring a folder's names to the disk.
func syncFolder(string) error { return nil }
