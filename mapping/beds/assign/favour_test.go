// Checks that favoured takes are chosen more often.

package assign

import "testing"

func TestFavouredTakesAreInMoreBeds(t *testing.T) {
	uses := func(favourDB float64) (sum int) {
		candidates := collection(60, 3, 5)
		for i := 0; i < len(candidates); i += 6 {
			candidates[i].FavourDB = favourDB
		}
		a := defaultAssign(candidates)
		for i := 0; i < len(candidates); i += 6 {
			sum += a.Uses[i]
		}
		return sum
	}
	less, alike, more := uses(-9), uses(0), uses(9)
	if !(less < alike && alike < more) || more > 4*alike {
		t.Errorf("ten takes are in %d, %d and %d beds at -9, 0 and 9 dB: want more each time", less, alike, more)
	}
}

// Where seats are few, a favoured second take goes before another person's.
func TestFavouredTakesGoFirst(t *testing.T) {
	candidates := collection(700, 2, 6)
	plain := defaultAssign(candidates)
	for _, unused := range plain.Unused[:5] {
		candidates[unused.Take].FavourDB = 6
	}
	a := defaultAssign(candidates)
	for _, unused := range plain.Unused[:5] {
		if a.Uses[unused.Take] == 0 {
			t.Errorf("take %d is favoured and in no bed", unused.Take)
		}
	}
}
