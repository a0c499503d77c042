// Report: what an export wrote, in figures.

package export

// Report is what an export wrote.
type Report struct {
	Output    string `json:"output"`
	Files     int    `json:"files"`
	SizeBytes int64  `json:"bytes"`
	// of every file of a set and every cycle of the bank, in their order
	Proofs  []Proof     `json:"proofs"`
	Clipped int64       `json:"clipped_samples"` // of the sets and the bank
	GaveUp  []string    `json:"gave_up"`         // of the sets
	Bank    *BankReport `json:"bank,omitempty"`
	Takes   int         `json:"credited_takes"`
	Names   []string    `json:"credited"`
}

// BankReport is what a bank holds.
type BankReport struct {
	SizeBytes int64    `json:"bytes"`
	Clipped   int64    `json:"clipped_samples"`
	Programs  []string `json:"programs"`
	GaveUp    []string `json:"gave_up"`
}
