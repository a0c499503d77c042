// From which figure on check warns, and from which it fails.

package project

// CheckSettings are the limits of check: two figures for each, from the first on it warns, from the second on it
// fails. Where the second is the smaller one, less is worse.
type CheckSettings struct {
	ReturnSec          []float64 `toml:"return_sec"`
	EvolutionSlowDB    []float64 `toml:"evolution_slow_db"`
	EvolutionChangeDB  []float64 `toml:"evolution_change_db"`
	EvolutionRepeatSec []float64 `toml:"evolution_repeat_sec"`
	StartSharedPercent []float64 `toml:"start_shared_percent"`
	SeamLU             []float64 `toml:"seam_lu"`
	SeamERB            []float64 `toml:"seam_erb"`
	SeamWidthDeg       []float64 `toml:"seam_width_deg"`
	JoinDB             []float64 `toml:"join_db"`
	ClickDB            []float64 `toml:"click_db"`
	BeatDB             []float64 `toml:"beat_db"`
	SameBeds           []float64 `toml:"same_beds"`
	LayerDriftMs       []float64 `toml:"layer_drift_ms"`
	LayerLossDB        []float64 `toml:"layer_loss_db"`
	HeardSec           []float64 `toml:"heard_sec"`
	ContributorSec     []float64 `toml:"contributor_sec"`
	HeardUnknownBeds   []float64 `toml:"heard_unknown_beds"`
	BedLU              []float64 `toml:"bed_lu"`
	KeyLU              []float64 `toml:"key_lu"`
	MonoLossDB         []float64 `toml:"mono_loss_db"`
	DynamicsLU         []float64 `toml:"dynamics_lu"`
	DynamicsDipLU      []float64 `toml:"dynamics_dip_lu"`
	DynamicsDarkerERB  []float64 `toml:"dynamics_darker_erb"`
	AttackSlowerTimes  []float64 `toml:"attack_slower_times"`
	BedOffGridPercent  []float64 `toml:"bed_off_grid_percent"`
	BedOffTuneCents    []float64 `toml:"bed_off_tune_cents"`
	KeyOffGridPercent  []float64 `toml:"key_off_grid_percent"`
	BassDB             []float64 `toml:"bass_db"`
	NoiseBelowLU       []float64 `toml:"noise_below_lu"`
	CeilingDB          []float64 `toml:"ceiling_db"`
	MemoryMB           []float64 `toml:"memory_mb"`
	VoicesPercent      []float64 `toml:"voices_percent"`
}

// DefaultCheck are the limits of a project that says nothing: common practice where no source stands beside a check.
func DefaultCheck() CheckSettings {
	return CheckSettings{
		ReturnSec: []float64{120, 30}, EvolutionSlowDB: []float64{2, 1}, EvolutionChangeDB: []float64{3, 1.5},
		EvolutionRepeatSec: []float64{20, 45}, StartSharedPercent: []float64{10, 100},
		SeamLU: []float64{0.5, 1.5}, SeamERB: []float64{1, 3}, SeamWidthDeg: []float64{10, 20},
		JoinDB: []float64{2, 5}, ClickDB: []float64{15, 30}, BeatDB: []float64{3, 8}, SameBeds: []float64{0, 4},
		LayerDriftMs: []float64{1, 50}, LayerLossDB: []float64{1, 3},
		HeardSec: []float64{3, 0}, ContributorSec: []float64{10, 0}, HeardUnknownBeds: []float64{0, 10000},
		BedLU: []float64{1, 2.5}, KeyLU: []float64{1, 2.5}, MonoLossDB: []float64{4.5, 8},
		DynamicsLU: []float64{2.5, 5}, DynamicsDipLU: []float64{0.3, 1}, DynamicsDarkerERB: []float64{0.2, 1.5},
		AttackSlowerTimes: []float64{8, 30}, // 25 times is the most that can be found: by default, none fails
		BedOffGridPercent: []float64{25, 50}, BedOffTuneCents: []float64{5, 20}, KeyOffGridPercent: []float64{25, 50},
		BassDB: []float64{6, 12}, NoiseBelowLU: []float64{15, 8}, CeilingDB: []float64{1, 6},
		MemoryMB: []float64{512, 4096}, VoicesPercent: []float64{70, 100},
	}
}
