package project

// ArrangeSettings say how parts are laid into a bed. The zero value is not useful: begin with DefaultArrange.
type ArrangeSettings struct {
	TargetLUFS  float64 `toml:"target_lufs"`  // integrated loudness of the finished bed (ITU-R BS.1770-5)
	CeilingDBTP float64 `toml:"ceiling_dbtp"` // highest true peak
	// how much less than in the loudest layer strokes of the quietest may peak above their bed's loudness
	SoftAttackDB float64 `toml:"soft_attack_db"`
	SteadyLU     float64 `toml:"steady_lu"` // how far the short-term loudness may stray from the mean, either way

	TurnSec     float64 `toml:"turn_sec"`     // how long a take stands in front, about, at most
	JoinSec     float64 `toml:"join_sec"`     // how long it takes to come forward and to step back
	SupportDB   float64 `toml:"support_db"`   // how far takes step back while others lead
	ThroughDB   float64 `toml:"through_db"`   // takes at least as steady as this step back half as far
	Width       float64 `toml:"width"`        // outermost places: 0 all in the middle, 1 hard left and right
	NoisyDB     float64 `toml:"noisy_db"`     // noisy takes against held ones
	StruckDB    float64 `toml:"struck_db"`    // struck takes against held ones
	StrokeDB    float64 `toml:"stroke_db"`    // how far strokes of one take differ in level, either way
	StrokeSec   float64 `toml:"stroke_sec"`   // longest mean distance between strokes of one take
	MinVoices   int     `toml:"min_voices"`   // a bed of fewer takes doubles them until it has as many voices
	DoubleMs    float64 `toml:"double_ms"`    // least delay between copies of a take
	DoubleCents float64 `toml:"double_cents"` // how far apart the outermost copies are tuned
	ContrastDB  float64 `toml:"contrast_db"`  // most by which takes are set apart, RMS over the bands of hearing
	RaiseDB     float64 `toml:"raise_db"`     // most that a take is raised so as not to be buried
	BringOutDB  float64 `toml:"bring_out_db"` // height of the bells that bring a take out
}

// DefaultArrange returns the settings that beds get when a project says nothing.
func DefaultArrange() ArrangeSettings {
	return ArrangeSettings{
		TargetLUFS: -20, CeilingDBTP: -3, SoftAttackDB: 7, SteadyLU: 2,
		TurnSec: 3.5, JoinSec: 4.5, SupportDB: 36, ThroughDB: 0.8, Width: 0.8,
		NoisyDB: -5, StruckDB: 0, StrokeDB: 3, StrokeSec: 2.2,
		MinVoices: 4, DoubleMs: 50, DoubleCents: 3.6, ContrastDB: 0, RaiseDB: 6, BringOutDB: 6,
	}
}
