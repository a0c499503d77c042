// Two folders change places on systems that cannot do so in one step.

package whole

import "os"

// exchangeInSteps makes two folders change places. Between its steps nothing stands under the name other; both folders
// are there.
func exchangeInSteps(one, other string) error {
	aside := one + ".aside"
	if err := os.Rename(other, aside); err != nil {
		return err
	}
	if err := os.Rename(one, other); err != nil {
		os.Rename(aside, other)
		return err
	}
	return os.Rename(aside, one)
}
