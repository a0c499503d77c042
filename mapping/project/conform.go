// How takes are made alike before they are arranged: the settings of Conform.

package project

// ConformSettings say what is done to every take before it is arranged. Their ranges are in settingRules.
type ConformSettings struct {
	Trim         bool    `toml:"trim"`           // cut to the sound; false: only fade the ends
	TrimBeforeMs float64 `toml:"trim_before_ms"` // kept before the onset, for the fade in
	TrimAfterMs  float64 `toml:"trim_after_ms"`  // kept after the end, for the fade out

	Rumble         bool    `toml:"rumble"`           // remove what lies below the fundamental
	RumbleFraction float64 `toml:"rumble_fraction"`  // the −3 dB point, in fundamentals
	RumbleOrder    int     `toml:"rumble_order"`     // steepness: 6 dB an octave each
	NoisyLowCutHz  float64 `toml:"noisy_low_cut_hz"` // the −3 dB point of takes without pitch

	Hum bool `toml:"hum"` // remove mains hum where it was measured and is not the take's own sound

	DenoiseDB float64 `toml:"denoise_db"` // strongest reduction of the noise, 0: none
	// a take that reaches this SNR is left as it is; the others are helped towards it
	CleanSNRDB float64 `toml:"clean_snr_db"`

	Tune bool `toml:"tune"` // to the root, by resampling
	// most that tones are lowered that are off the root's harmonics, 0: none are
	OffGridDB    float64 `toml:"off_grid_db"`
	NoiseColour  float64 `toml:"noise_colour"`  // how far noisy takes get that too: 0 not, 1 as others
	KeepPartials int     `toml:"keep_partials"` // cut what lies above so many partials; 0: keep all
	// by how much takes of the quietest layer fall with each octave above the root, beyond what they do by themselves
	SoftTiltDB float64 `toml:"soft_tilt_db"`
	// by how much more at most, where a layer would be no darker than the next louder one
	DarkenMostDB float64 `toml:"darken_most_db"`
	LoudnessLUFS float64 `toml:"loudness_lufs"` // common loudness of the takes
	PeakDBFS     float64 `toml:"peak_dbfs"`     // no take's highest sample may exceed this; it stays softer instead
}

// DefaultConformSettings treat takes as they mostly need it.
func DefaultConformSettings() ConformSettings {
	return ConformSettings{
		Trim: true, TrimBeforeMs: 20, TrimAfterMs: 60,
		Rumble: true, RumbleFraction: 0.5, RumbleOrder: 4, NoisyLowCutHz: 30,
		Hum:       true,
		DenoiseDB: 18, CleanSNRDB: 60,
		Tune: true, OffGridDB: 24, NoiseColour: 0.75, KeepPartials: 0, SoftTiltDB: 1,
		DarkenMostDB: 3,
		LoudnessLUFS: -23, PeakDBFS: -1,
	}
}
