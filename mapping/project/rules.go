// What each setting means and the values it may have.

package project

import (
	"fmt"
	"strings"

	"lapstrake/mapping"
)

// settingRule tells of one setting of lapstrake.toml: what it is for, with its unit, and which values it may have.
// The rules are checked when the file is read and become its comments when it is written.
type settingRule struct {
	field     string // such as beds.length_sec; a section such as beds has a rule of its own
	about     string
	low, high float64  // of a number; both 0: not a number
	words     []string // of a text that must be one of several
	pair      bool     // two numbers from low to high: a limit of check
	trigger   bool     // a MIDI message, as ParseTrigger takes it
}

func (r settingRule) isNumber() bool { return !r.pair && (r.low != 0 || r.high != 0) }

// expected tells in words which values the setting may have.
func (r settingRule) expected() string {
	switch {
	case r.trigger:
		return `"note 21", "controller 80" or "", which binds nothing`
	case r.pair:
		return fmt.Sprintf("two numbers from %v to %v", r.low, r.high)
	case r.isNumber():
		return fmt.Sprintf("%v to %v", r.low, r.high)
	case len(r.words) > 0:
		return strings.Join(r.words[:len(r.words)-1], ", ") + " or " + r.words[len(r.words)-1]
	}
	return ""
}

// comment is the line above the setting in the file.
func (r settingRule) comment() string {
	if expected := r.expected(); expected != "" {
		return r.about + "; " + expected
	}
	return r.about
}

var settingRules = []settingRule{
	{field: "project", about: "The project as a whole."},
	{field: "project.title", about: "what the instrument is called in an export; empty: as its folder"},
	{field: "project.artist", about: "who made it, in an export; may be empty"},
	{field: "project.rate_hz", about: "frames a second of the beds", low: 8000, high: 384000},
	{field: "project.middle_c", about: "the name of key 60 when keys are printed; keys in this file are numbers",
		words: []string{"C4", "C3"}},
	{field: "project.layers", about: "dynamic layers, the quietest first; 1 to 16 names of small letters and digits"},
	{field: "project.strands", about: "the beds of a cycle in the order in which they take turns; 1 to 16 names of " +
		"small letters and digits"},
	{field: "project.strand_titles", about: "what reports call the strands, in the same order; empty: their names"},
	{field: "project.require_consent", about: "true leaves out takes whose row tells neither a credit line nor a " +
		"licence or consent"},
	{field: "project.seed", about: "begins every choice left to chance; the same seed and takes give the same beds",
		low: 0, high: 4294967295},

	{field: "grid", about: "Which roots get beds, and which keys each root serves."},
	{field: "grid.ranks", about: "sets of zones that each tile the keyboard: how many roots a key sounds at once",
		low: 1, high: mapping.MostRanks},
	{field: "grid.spacing_semitones", about: "semitones between the roots of one rank, a multiple of the ranks",
		low: 1, high: mapping.MostSpacingSemitones},
	{field: "grid.root_key", about: "a key that is a root; the others follow from it", low: mapping.LowestKey,
		high: mapping.HighestKey},
	{field: "grid.root_at", about: "where in its zone a root lies: at the top, notes are only ever tuned down",
		words: []string{"top", "middle", "bottom"}},
	{field: "grid.lowest_key", about: "lowest key that sounds", low: mapping.LowestKey, high: mapping.HighestKey},
	{field: "grid.highest_key", about: "highest key that sounds", low: mapping.LowestKey, high: mapping.HighestKey},
	{field: "grid.stagger_by", about: "what gets different starts", words: []string{"zone", "key", "press"}},
	{field: "grid.starts", about: "where in its cycle a note begins, in turns from 0 up to, not including, 1, taken " +
		"one after the other; empty: spread by the golden ratio"},
	{field: "grid.ranks_apart_turns", about: "turns by which each rank begins later in its cycles than the rank " +
		"before it; at 0 the ranks of a key may begin at one place", low: 0, high: 1},
	{field: "grid.seam_fade_db", about: "dB that each rank falls towards its own seams, while the others carry; 0: " +
		"all ranks are equally loud on every key", low: 0, high: mapping.MostSeamFadeDB},

	{field: "beds", about: "How long the beds are, and which takes they are given."},
	{field: "beds.length_sec", about: "seconds of each bed", low: 1, high: 600},
	{field: "beds.overlap_sec", about: "seconds of crossfade where one bed follows another, at most half a bed",
		low: 0, high: 60},
	{field: "beds.used_sec", about: "seconds that cycles use of each bed; 0 uses it whole", low: 0, high: 600},
	{field: "beds.least_takes", about: "takes that every bed gets where the material allows", low: 1, high: 32},
	{field: "beds.least_of_manner", about: "takes that go on, and takes that strike, that every bed gets even from " +
		"other strands; 0 keeps strands apart", low: 0, high: 16},
	{field: "beds.most_takes", about: "takes that no bed gets more of", low: 1, high: 32},
	{field: "beds.soft_below_loud_db", about: "dB from the loudest layer down to the quietest", low: 0, high: 40},
	{field: "beds.bright_move_semitones", about: "semitones that bright struck takes may be moved before they count " +
		"as far from home", low: 0.5, high: 24},
	{field: "beds.soft_move_semitones", about: "semitones that dark held takes may be moved before they count as " +
		"far from home; others lie between", low: 0.5, high: 24},

	{field: "conform", about: "How takes are made alike before they go into beds."},
	{field: "conform.trim", about: "true cuts a take to its sound; false only fades its ends"},
	{field: "conform.trim_before_ms", about: "ms kept before the onset, for the fade in", low: 0, high: 1000},
	{field: "conform.trim_after_ms", about: "ms kept after the end, for the fade out", low: 0, high: 10000},
	{field: "conform.rumble", about: "true removes what lies below the fundamental"},
	{field: "conform.rumble_fraction", about: "where that cut lies, at -3 dB, in fundamentals", low: 0.05, high: 0.9},
	{field: "conform.rumble_order", about: "how steep that cut is, in times 6 dB an octave", low: 1, high: 12},
	{field: "conform.noisy_low_cut_hz", about: "where the cut of takes without pitch lies, at -3 dB, in Hz",
		low: 0, high: 1000},
	{field: "conform.hum", about: "true removes mains hum where it was measured and is not the take's own sound"},
	{field: "conform.denoise_db", about: "strongest reduction of a take's noise in dB; 0 leaves it", low: 0, high: 40},
	{field: "conform.clean_snr_db", about: "takes with this ratio of sound to noise in dB are left as they are; " +
		"others are helped towards it", low: 0, high: 120},
	{field: "conform.tune", about: "true tunes takes to the root by resampling"},
	{field: "conform.off_grid_db", about: "dB by which tones are lowered at most that lie over 50 cents from a " +
		"harmonic of the root, in takes of which much does; 0 leaves them", low: 0, high: 40},
	{field: "conform.noise_colour", about: "how far that is done to noisy takes too: 0 not at all, 1 as to others",
		low: 0, high: 1},
	{field: "conform.keep_partials", about: "partials to keep of takes whose row tells no number; 0 keeps all",
		low: 0, high: 1000},
	{field: "conform.soft_tilt_db", about: "dB by which takes of the quietest layer are darkened with each octave " +
		"above the root, since what is played softly is darker; layers between have a part of it",
		low: 0, high: 6},
	{field: "conform.darken_most_db", about: "dB by which the beds of a layer are darkened more with each octave, at " +
		"most, on roots where they would be no darker than those of the next louder layer; 0 leaves them",
		low: 0, high: 6},
	{field: "conform.loudness_lufs", about: "common loudness of the takes in LUFS", low: -60, high: -6},
	{field: "conform.peak_dbfs", about: "highest sample of any take in dBFS; it stays softer instead",
		low: -40, high: 0},

	{field: "arrange", about: "How the takes of a bed take turns."},
	{field: "arrange.target_lufs", about: "loudness of a bed of the loudest layer in LUFS, integrated (ITU-R " +
		"BS.1770-5)", low: -50, high: -5},
	{field: "arrange.ceiling_dbtp", about: "highest true peak of a bed of the loudest layer in dBTP",
		low: -20, high: -0.1},
	{field: "arrange.soft_attack_db", about: "dB by which strokes of the quietest layer are rounded more than those " +
		"of the loudest, against the loudness of their beds; layers between have a part of it", low: 0, high: 12},
	{field: "arrange.steady_lu", about: "LU that the short-term loudness may stray from a bed's mean, either way",
		low: 0.1, high: 20},
	{field: "arrange.turn_sec", about: "seconds for which a take stands in front, about, before the next one does; " +
		"beds of few takes have it shorter", low: 0.2, high: 120},
	{field: "arrange.join_sec", about: "seconds in which a take comes forward and steps back", low: 0.02, high: 30},
	{field: "arrange.support_db", about: "dB by which takes step back while others stand in front, about: by more or " +
		"less where the timbre then changes more evenly", low: 0, high: 60},
	{field: "arrange.through_db", about: "takes whose level spreads by no more dB than this lie beneath the others: " +
		"they step back about half as far", low: 0, high: 20},
	{field: "arrange.width", about: "outermost places of takes: 0 all in the middle, 1 hard left and right",
		low: 0, high: 1},
	{field: "arrange.noisy_db", about: "dB of noisy takes against held ones", low: -40, high: 20},
	{field: "arrange.struck_db", about: "dB of struck takes against held ones", low: -40, high: 20},
	{field: "arrange.stroke_db", about: "dB by which the strokes of one take differ, either way", low: 0, high: 20},
	{field: "arrange.stroke_sec", about: "longest mean distance between the strokes of one take in seconds",
		low: 0.05, high: 60},
	{field: "arrange.min_voices", about: "voices that a bed has at least: with fewer takes, they are doubled",
		low: 1, high: 32},
	{field: "arrange.double_ms", about: "least delay in ms between copies of a take", low: 5, high: 1000},
	{field: "arrange.double_cents", about: "cents that the outermost copies of a take are tuned apart",
		low: 0, high: 50},
	{field: "arrange.contrast_db", about: "dB by which takes that may be heard at once are set apart at most, on the " +
		"mean over the bands of hearing: each is raised where it has more than they have on the mean, and lowered " +
		"where it has less; 3 lets timbre change more, 0 leaves takes as they are", low: 0, high: 6},
	{field: "arrange.raise_db", about: "dB that a buried take is raised at most", low: 0, high: 24},
	{field: "arrange.bring_out_db", about: "dB by which a take that others lie over is brought out at most, by " +
		"bells around the frequencies at which it is nearest to being heard", low: 0, high: 12},

	{field: "tuning", about: "Which pitch each key has; beds stay as they are."},
	{field: "tuning.title", about: "what the tuning is called; may be empty"},
	{field: "tuning.scale_cents", about: "a scale that repeats: cents of its notes above its first, from the second " +
		"on; the last is where it repeats; empty: equal semitones"},
	{field: "tuning.scale_key", about: "a key that is the scale's first note", low: mapping.LowestKey,
		high: mapping.HighestKey},
	{field: "tuning.reference_key", about: "the key that has the frequency of reference_hz", low: mapping.LowestKey,
		high: mapping.HighestKey},
	{field: "tuning.reference_hz", about: "frequency of that key in Hz; ISO 16 has 440 for key 69",
		low: 1, high: 30000},
	{field: "tuning.key_cents", about: "instead of a scale: cents of each of the 128 keys above its equal semitone; " +
		"empty: none"},
	{field: "tuning.key_hz", about: "instead of a scale: the frequency of each of the 128 keys in Hz; empty: none"},
	{field: "tuning.zones_by", about: "what a key's zones are found by: its number, or the nearest equal semitone " +
		"to its pitch", words: []string{"key", "pitch"}},

	{field: "check", about: "From which figure on check warns, and from which it fails."},
	{field: "check.return_sec", about: "s until the cycles of a chord are all back within 2 % of a turn", pair: true,
		low: 0, high: 86400},
	{field: "check.evolution_slow_db", about: "dB by which the timbre of a held chord moves at 0.02 to 0.2 Hz; a " +
		"sound that stands still has 0.7", pair: true, low: 0, high: 60},
	{field: "check.evolution_change_db", about: "dB by which the timbre of a held chord changes over 5 s, in the " +
		"median", pair: true, low: 0, high: 60},
	{field: "check.evolution_repeat_sec", about: "s of a held chord that sound the same again later, within 90 s",
		pair: true, low: 0, high: 90},
	{field: "check.start_shared_percent", about: "% of the keys whose ranks begin at one place", pair: true,
		low: 0, high: 100},
	{field: "check.seam_lu", about: "LU by which a seam's step in loudness exceeds those inside zones", pair: true,
		low: 0, high: 40},
	{field: "check.seam_erb", about: "auditory bands (ERB) by which a seam's step in brightness exceeds those " +
		"inside zones", pair: true, low: 0, high: 40},
	{field: "check.seam_width_deg", about: "degrees by which a seam's step in width exceeds those inside zones; 0 " +
		"is mono, 45 are unrelated sides", pair: true, low: 0, high: 90},
	{field: "check.join_db", about: "dB by which the level at a join differs from that beside it", pair: true,
		low: 0, high: 60},
	{field: "check.click_db", about: "dB by which a click exceeds all that is not foretold within 0.1 s of it",
		pair: true, low: 6, high: 120},
	{field: "check.beat_db", about: "dB by which bands beat, either way, beyond what their takes do by themselves",
		pair: true, low: 0, high: 60},
	{field: "check.same_beds", about: "beds that are the same as another", pair: true, low: 0, high: 10000},
	{field: "check.layer_drift_ms", about: "ms by which the layers of a zone drift apart with each turn", pair: true,
		low: 0, high: 600000},
	{field: "check.layer_loss_db", about: "dB that are lost half-way between two layers, since they cancel each other",
		pair: true, low: 0, high: 60},
	{field: "check.heard_sec", about: "s of each turn for which a take is heard in one of its beds, at its best " +
		"dynamics; a quarter of shorter beds is enough", pair: true, low: 0, high: 600},
	{field: "check.contributor_sec", about: "s of a turn for which a contributor is heard where they are heard the " +
		"longest; half of shorter turns is enough", pair: true, low: 0, high: 600},
	{field: "check.heard_unknown_beds", about: "beds of which nobody kept what their takes excite", pair: true,
		low: 0, high: 10000},
	{field: "check.bed_lu", about: "LU between a bed and the others of its layer", pair: true, low: 0, high: 40},
	{field: "check.key_lu", about: "LU between a key and the octave around it", pair: true, low: 0, high: 40},
	{field: "check.mono_loss_db", about: "dB that a key loses in mono", pair: true, low: 0, high: 60},
	{field: "check.dynamics_lu", about: "LU by which the loudness over the dynamics strays from a straight line",
		pair: true, low: 0, high: 40},
	{field: "check.dynamics_dip_lu", about: "LU by which the loudness falls while the dynamics rise", pair: true,
		low: 0, high: 40},
	{field: "check.dynamics_darker_erb", about: "auditory bands (ERB) by which the loudest layer is darker than the " +
		"quietest", pair: true, low: 0, high: 40},
	{field: "check.attack_slower_times", about: "times as long as at softer dynamics that a key takes to set in at " +
		"louder ones", pair: true, low: 1, high: 100},
	{field: "check.bed_off_grid_percent", about: "% of a bed's strong tones, by power as the ear weighs it, that " +
		"lie over 50 cents from a harmonic of its root", pair: true, low: 0, high: 100},
	{field: "check.bed_off_tune_cents", about: "cents that the other strong tones of a bed lie above or below those " +
		"harmonics", pair: true, low: 0, high: 50},
	{field: "check.key_off_grid_percent", about: "% of a key's strong tones that lie over 50 cents from its " +
		"harmonics, at the worst of three places of the dynamics", pair: true, low: 0, high: 100},
	{field: "check.bass_db", about: "dB by which the bass below 120 Hz of a full chord exceeds the rest of it",
		pair: true, low: 0, high: 60},
	{field: "check.noise_below_lu", about: "LU by which the noise that is always there under ten keys lies below " +
		"their sound; less is worse", pair: true, low: 0, high: 120},
	{field: "check.ceiling_db", about: "dB that the ceiling takes off ten keys at full dynamics", pair: true,
		low: 0, high: 60},
	{field: "check.memory_mb", about: "MB of memory that playing takes", pair: true, low: 0, high: 1048576},
	{field: "check.voices_percent", about: "% of the map's polyphony that ten fingers with the pedal take", pair: true,
		low: 0, high: 1000},
}

func init() {
	settingRules = append(settingRules, settingRule{field: "keys", about: "MIDI messages that do while playing what " +
		"keys of the terminal do: a key struck, or a controller that rises to 64 or more. They sound nothing then."})
	for _, use := range keySettings {
		settingRules = append(settingRules, settingRule{field: "keys." + use.setting, about: use.about, trigger: true})
	}
}

// ruleOf returns the rule of a field.
func ruleOf(field string) (settingRule, bool) {
	for _, r := range settingRules {
		if r.field == field {
			return r, true
		}
	}
	return settingRule{}, false
}
