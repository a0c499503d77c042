// What a visitor can do, each by a message {"do": NAME, …} of text.

package page

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"lapstrake/engine"
	"lapstrake/engine/live"
)

// Ask is something that a visitor asks of the player as a whole.
type Ask struct {
	Kind AskKind
	On   bool    // AskLatch
	DB   float64 // AskLevel: the output's
	Text string  // AskMark: a remark, which may be empty

	Stereo []float32 // AskSound: interleaved, at the player's rate; nil for the music
}

// AskKind says what is asked.
type AskKind int

// What is asked.
const (
	AskLatch   AskKind = iota // latch on or off
	AskSilence                // all sound off
	AskStrike                 // strike again what is held
	AskLevel                  // the output's level
	AskCounts                 // count underruns and the like from zero
	AskOther                  // play the other one of two maps
	AskTell                   // which of the two plays, or do not
	AskDry                    // the beds under the last key, dry at their root
	AskMark                   // keep this moment
	AskSound                  // a sound in place of the music
)

// doings are all that a message can ask for.
var doings = map[string]func(v *visitor, ctx context.Context, body []byte) error{
	"note":    (*visitor).note,
	"control": (*visitor).control,
	"bend":    (*visitor).bend,
	"latch":   (*visitor).latch,
	"silence": asking(AskSilence),
	"strike":  asking(AskStrike),
	"counts":  asking(AskCounts),
	"level":   (*visitor).level,
	"mark":    (*visitor).mark,
	"where":   (*visitor).where,
	"pick":    (*visitor).pick,
	"all":     (*visitor).soundAll,
	"other":   asking(AskOther),
	"tell":    asking(AskTell),
	"dry":     asking(AskDry),
	"hear":    (*visitor).hear,
	"music":   asking(AskSound),
	"check":   (*visitor).check,
	"play":    (*visitor).playFinding,
	"stop":    (*visitor).stop,
	"edit":    (*visitor).edit,
	"undo":    (*visitor).takeBack,
	"nudge":   (*visitor).nudge,
	"back":    wishing("back"),
	"keep":    wishing("keep"),
	"apart":   (*visitor).apart,

	"hearmark": (*visitor).hearMark,
}

// do does what a message says.
func (v *visitor) do(ctx context.Context, body []byte) error {
	var head struct {
		Do string `json:"do"`
	}
	if err := json.Unmarshal(body, &head); err != nil {
		return errors.New("expected JSON with a word under \"do\"")
	}
	doing := doings[head.Do]
	if doing == nil {
		return fmt.Errorf("nobody knows how to do %.20q", head.Do)
	}
	return doing(v, ctx, body)
}

// reading reads a message whole; fields that it does not know are an error.
func reading(body []byte, into any) error {
	decoder := json.NewDecoder(bytes.NewReader(body))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(into); err != nil {
		return err
	}
	if decoder.More() {
		return errors.New("expected one message")
	}
	return nil
}

func within(what string, value, low, high int) error {
	if value < low || value > high {
		return fmt.Errorf("%s %d: expected %d to %d", what, value, low, high)
	}
	return nil
}

// note strikes a key, or with velocity 0 lifts it.
func (v *visitor) note(_ context.Context, body []byte) error {
	var m struct {
		Do       string `json:"do"`
		Key      int    `json:"key"`
		Velocity int    `json:"velocity"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	if err := errors.Join(within("key", m.Key, 0, 127), within("velocity", m.Velocity, 0, 127)); err != nil {
		return err
	}
	v.push(engine.NoteOn(0, v.page.settings.Channel, byte(m.Key), byte(m.Velocity)))
	return nil
}

// control moves a controller that the page shows: dynamics, volume, hold, sostenuto.
func (v *visitor) control(_ context.Context, body []byte) error {
	var m struct {
		Do     string `json:"do"`
		Number int    `json:"number"`
		Value  int    `json:"value"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	played := v.page.settings.Engine.Map()
	shown := append([]int{engine.ControlHold, engine.ControlSostenuto, played.Dynamics.Controller},
		played.Volume.Controllers...)
	if !slices.Contains(shown, m.Number) {
		return fmt.Errorf("controller %d is none of those that the page has: %v", m.Number, shown)
	}
	if err := within("value", m.Value, 0, 127); err != nil {
		return err
	}
	v.push(engine.Control(0, v.page.settings.Channel, byte(m.Number), byte(m.Value)))
	return nil
}

func (v *visitor) bend(_ context.Context, body []byte) error {
	var m struct {
		Do    string `json:"do"`
		Value int    `json:"value"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	if err := within("bend", m.Value, 0, 2*engine.BendCentre-1); err != nil {
		return err
	}
	v.push(engine.Bend(0, v.page.settings.Channel, m.Value))
	return nil
}

func (v *visitor) push(e engine.Event) { v.input.Push(live.Now(), e.Status, e.Data1, e.Data2) }

func (v *visitor) latch(ctx context.Context, body []byte) error {
	var m struct {
		Do string `json:"do"`
		On bool   `json:"on"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	return v.ask(ctx, Ask{Kind: AskLatch, On: m.On})
}

func (v *visitor) level(ctx context.Context, body []byte) error {
	var m struct {
		Do string  `json:"do"`
		DB float64 `json:"db"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	return v.ask(ctx, Ask{Kind: AskLevel, DB: m.DB})
}

// longestRemark is in characters.
const longestRemark = 200

func (v *visitor) mark(ctx context.Context, body []byte) error {
	var m struct {
		Do     string `json:"do"`
		Remark string `json:"remark"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	remark := strings.TrimSpace(m.Remark)
	if utf8.RuneCountInString(remark) > longestRemark || strings.ContainsFunc(remark, unicode.IsControl) {
		return fmt.Errorf("a remark of %d characters: expected one line of %d at most", utf8.RuneCountInString(remark),
			longestRemark)
	}
	return v.ask(ctx, Ask{Kind: AskMark, Text: remark})
}

// asking makes a doing of an ask that says nothing more.
func asking(kind AskKind) func(*visitor, context.Context, []byte) error {
	return func(v *visitor, ctx context.Context, body []byte) error {
		var m struct {
			Do string `json:"do"`
		}
		if err := reading(body, &m); err != nil {
			return err
		}
		return v.ask(ctx, Ask{Kind: kind})
	}
}

// ask waits until there is room for the ask: only this visitor waits.
func (v *visitor) ask(ctx context.Context, a Ask) error {
	select {
	case v.page.asks <- a:
	case <-ctx.Done():
	}
	return nil
}

// where tells in which beds a take is.
func (v *visitor) where(_ context.Context, body []byte) error {
	var m struct {
		Do   string `json:"do"`
		Take string `json:"take"`
	}
	if err := reading(body, &m); err != nil {
		return err
	}
	beds := []string{}
	if ledger, _, _ := v.page.settings.Teller.Ledger(); ledger != nil {
		beds = append(beds, ledger.Beds(m.Take)...)
	}
	v.tell("where", map[string]any{"take": m.Take, "beds": beds})
	return nil
}
