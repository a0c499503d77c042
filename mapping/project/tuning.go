// The tuning of a project's keys.

package project

import "lapstrake/mapping"

// TuningSettings say which pitch each key has: a mapping.Tuning, field by field.
type TuningSettings struct {
	Title        string          `toml:"title"`
	ScaleCents   []float64       `toml:"scale_cents"`
	ScaleKey     int             `toml:"scale_key"`
	ReferenceKey int             `toml:"reference_key"`
	ReferenceHz  float64         `toml:"reference_hz"`
	KeyCents     []float64       `toml:"key_cents"`
	KeyHz        []float64       `toml:"key_hz"`
	ZonesBy      mapping.ZonesBy `toml:"zones_by"`
}

// DefaultTuning is that of ISO 16.
func DefaultTuning() TuningSettings {
	t := TuningSettings(mapping.DefaultTuning())
	t.ScaleCents, t.KeyCents, t.KeyHz = []float64{}, []float64{}, []float64{}
	return t
}

// forMap is the tuning that a map is given; nil where all is as in ISO 16.
func (t TuningSettings) forMap() *mapping.Tuning {
	tuning := mapping.Tuning(t)
	if tuning.IsEqual() {
		return nil
	}
	return &tuning
}
