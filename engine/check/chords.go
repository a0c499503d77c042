// Full chords: whether their bass piles up, and what the ceiling takes off.

package check

import (
	"context"
	"fmt"
	"math"

	"lapstrake/mapping/sound"
)

// chords holds ten keys, low and around the middle.
func chords(ctx context.Context, s *subject, said *PartReport) error {
	if err := s.measure(ctx); err != nil {
		return err
	}
	s.judgeBass(said)
	return s.judgeCeiling(ctx, said)
}

// judgeBass finds out whether low chords pile up in the bass.
func (s *subject) judgeBass(said *PartReport) {
	chord := s.tenFingers(s.lowest)
	bass, rest := 0.0, 0.0
	for _, key := range chord {
		k := s.sound(key, 127)
		bass, rest = bass+k.bass, rest+k.stereo-k.bass
	}
	if bass == 0 || rest == 0 {
		return
	}
	by := sound.PowerDB(bass) - sound.PowerDB(rest)
	said.tell(fmt.Sprintf("bass below %d Hz against the rest, ten low keys", bassHz), by, "dB", lessIsBetter)
	said.judge(s.limits.BassDB, Finding{
		What: "bass_db", hear: s.hearFull("ten low keys", chord),
		Place: Place{Keys: chord, Chord: "ten low keys"}, Figure: by, Unit: "dB", Spread: luSpread,
		Text: fmt.Sprintf("below %d Hz, ten keys from %s have %.1f dB more than above", bassHz, s.names(chord[0]), by),
	}, func() string {
		return "lapstrake.toml, conform.rumble_fraction: a higher cut; or takes.csv, gain_db of the lowest takes"
	})
}

// middleTen is a chord of ten keys around the middle of those that sound.
func (s *subject) middleTen() []int { return s.tenFingers(max((s.lowest+s.highest)/2-27, s.lowest)) }

// tenFingers is a chord of ten keys from the lowest on, a fourth and a fifth in turn as far as there are keys.
func (s *subject) tenFingers(lowest int) (keys []int) {
	for key := lowest; len(keys) < 10; key += 5 + 2*(len(keys)%2) {
		for key > s.highest {
			key -= s.highest - s.lowest
		}
		keys = append(keys, key)
	}
	return keys
}

// judgeCeiling renders full chords and asks what the ceiling took off.
func (s *subject) judgeCeiling(ctx context.Context, said *PartReport) error {
	for _, at := range []struct {
		name  string
		chord []int
	}{{"ten low keys", s.tenFingers(s.lowest)}, {"ten keys around the middle", s.middleTen()}} {
		chord := at.chord
		heard, err := s.play(ctx, chord, 127, 10)
		if err != nil {
			return err
		}
		said.tell(at.name+" at full dynamics: taken off by the ceiling", heard.reductionDB, "dB", lessIsBetter)
		said.judge(s.limits.CeilingDB, Finding{
			What: "ceiling_db", hear: s.hearFull(at.name, chord),
			Place: Place{Keys: chord, Chord: at.name}, Figure: heard.reductionDB, Unit: "dB",
			Text: fmt.Sprintf("%s at full dynamics drive the sum %.1f dB into the ceiling", at.name,
				heard.reductionDB),
		}, func() string {
			return fmt.Sprintf("map.toml, headroom_db: %.0f", math.Ceil(s.m.HeadroomDB+heard.reductionDB))
		})
	}
	return nil
}
