// What the record keeps of how a part was laid into its bed.

package arrange

// Laid is how a part was laid into a bed.
type Laid struct {
	RaisedDB float64 `json:"raised_db"`       // what the audition gave it; below 0: lowered
	Bells    []Bell  `json:"bells,omitempty"` // what it is brought out by
	Beating
}
