// A bed of which less is used.

package stream

// shorter is the first stretch of a bed.
type shorter struct {
	Bed
	frames int64
}

// shortened is a bed of at most so many seconds; 0 leaves it as it is.
func shortened(bed Bed, mostSec float64) Bed {
	frames := int64(mostSec * float64(bed.RateHz()))
	if mostSec <= 0 || frames >= bed.Frames() {
		return bed
	}
	return &shorter{bed, frames}
}

func (s *shorter) Frames() int64 { return s.frames }
