// Writer of the bank: all cycles as one file of Downloadable Sounds Level 2.

package export

import (
	"bufio"
	"fmt"
	"slices"

	"lapstrake/mapping"
	"lapstrake/mapping/export/dls"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/wav"
	"lapstrake/mapping/whole"
)

// bankLayout is a bank and the items that its waves come from.
type bankLayout struct {
	dls.Bank
	items []Item
	waves [][2]int // of each item: its left and its right wave; one for both where it is mono
	from  []side   // of each wave
	gain  float32  // factor on every sample: not all readers heed a wave's own gain
}

// side is the left (0) or the right (1) of an item.
type side struct{ item, side int }

// layBank lays out the bank of items at a depth of 8 or 16 bits.
func (j *Job) layBank(items []Item, bits int) *bankLayout {
	b := &bankLayout{items: items, gain: float32(sound.DBToAmplitude(j.bankGainDB()))}
	b.Title, b.Artist, b.Comment, b.Software = wav.ASCII(j.Title), wav.ASCII(j.Artist), dynamicsNote(j.Map), software
	b.waves = bankWaves(items)
	for k := range items {
		i := &items[k]
		names := []string{" left", " right"}
		if i.Cycle.Mono {
			names = []string{""}
		}
		for s, name := range names {
			b.from = append(b.from, side{k, s})
			b.Waves = append(b.Waves, dls.Wave{
				Name: wav.ASCII(i.Name) + name, RateHz: i.Cycle.RateHz, Bits: bits, Root: i.Zone.Root,
				Frames: i.Frames(), Guard: dls.GuardFrames,
			})
		}
	}
	b.Programs = j.programs(items)
	return b
}

// bankWaves numbers the left and the right wave of each item.
func bankWaves(items []Item) [][2]int {
	waves, next := make([][2]int, len(items)), 0
	for k := range items {
		channels := items[k].Cycle.channels()
		waves[k] = [2]int{next, next + channels - 1}
		next += channels
	}
	return waves
}

// programs lists what can be played on the same waves: the layers faded by controller 1, the layers chosen by
// velocity, and each layer alone. A map of one layer has one program.
func (j *Job) programs(items []Item) []dls.Program {
	layers, last := j.Map.Layers, len(j.Map.Layers)-1
	if last == 0 {
		return []dls.Program{j.program(items, 0, layers[0], func(int) (role, bool) { return allVelocities, true })}
	}
	programs := []dls.Program{
		j.program(items, 0, "dynamics on controller 1", func(layer int) (role, bool) {
			p := allVelocities
			p.fade = fadeOut(j.Map.Dynamics)
			if layer == last {
				p.fade = fadeIn(j.Map.Dynamics)
			}
			return p, layer == 0 || layer == last
		}),
		j.program(items, 1, "dynamics by velocity", func(layer int) (role, bool) {
			low, high := velocityRange(layer, len(layers))
			return role{lowVelocity: low, highVelocity: high}, true
		}),
	}
	for only, name := range layers {
		programs = append(programs, j.program(items, 2+only, name+" alone", func(layer int) (role, bool) {
			return allVelocities, layer == only
		}))
	}
	return programs
}

// role says how a layer takes part in a program.
type role struct {
	lowVelocity, highVelocity int
	fade                      []dls.Connection
}

var allVelocities = role{lowVelocity: lowestVelocity, highVelocity: highestVelocity}

// velocityRange gives each layer an equal share of the velocities.
func velocityRange(layer, layers int) (low, high int) {
	return max(128*layer/layers, lowestVelocity), 128*(layer+1)/layers - 1
}

// program puts the layers that take part on the keys of their items. The left and the right side share a phase group;
// of a mono item, both sides play one wave, so that it is as loud on each as the player has it.
func (j *Job) program(items []Item, number int, name string, takesPart func(layer int) (role, bool)) dls.Program {
	p, loudest := dls.Program{Name: wav.ASCII(j.Title) + ": " + name, Number: number}, j.loudestDB()
	waves := bankWaves(items)
	for k := range items {
		i := &items[k]
		with, plays := takesPart(i.Layer)
		if !plays {
			continue
		}
		for _, run := range j.keyRuns(i) {
			group := len(p.Regions)/2 + 1
			for _, side := range []dls.Channel{dls.Left, dls.Right} {
				p.Regions = append(p.Regions, dls.Region{
					KeyLow: run.Low, KeyHigh: run.High, VelocityLow: with.lowVelocity, VelocityHigh: with.highVelocity,
					Wave: waves[k][side], PhaseGroup: group, Channel: side,
					Connections: slices.Concat(j.articulation(side), fixedGain(run.gainDB-loudest),
						fixedTune(run.tuneCents), with.fade),
				})
			}
		}
	}
	return p
}

// bankBytes is how large the bank of the job's variant becomes.
func (j *Job) bankBytes(items []Item) (int64, error) {
	b := j.layBank(items, bankBits)
	return dls.SizeBytes(&b.Bank), dls.Check(&b.Bank)
}

// writeBank writes the bank of the job's variant.
func (j *Job) writeBank(items []Item, at fileAt, step stepped) (clipped []int64, err error) {
	return j.layBank(items, bankBits).write(at.path(), step)
}

// reportBank reports what the bank of the job's variant holds.
func (j *Job) reportBank(items []Item, proofs []Proof, r *Report) {
	b := j.layBank(items, bankBits)
	r.Bank = &BankReport{SizeBytes: dls.SizeBytes(&b.Bank), GaveUp: append([]string{}, j.Variant.GaveUp...)}
	for _, p := range proofs {
		r.Bank.Clipped += p.Clipped
	}
	for _, p := range b.Programs {
		r.Bank.Programs = append(r.Bank.Programs, fmt.Sprintf("%d: %s", p.Number, p.Name))
	}
}

// write writes the bank to path and counts the clipped samples of each item.
func (b *bankLayout) write(path string, step stepped) (clipped []int64, err error) {
	out, err := whole.Create(path)
	if err != nil {
		return nil, err
	}
	defer out.Discard()
	w := bufio.NewWriterSize(out, 1<<16)
	if clipped, err = b.writeTo(w, step); err != nil {
		return nil, err
	}
	if err := w.Flush(); err != nil {
		return nil, err
	}
	return clipped, out.Commit()
}

// writeTo writes the bank and counts the clipped samples of each item.
func (b *bankLayout) writeTo(w *bufio.Writer, step stepped) (clipped []int64, err error) {
	turn := turn{layout: b, item: -1, step: step, clipped: make([]int64, len(b.items))}
	return turn.clipped, dls.Write(w, &b.Bank, turn.sound)
}

// turn holds one item in memory as whole numbers, so that its guard frames repeat the loop's numbers, dither included.
type turn struct {
	layout  *bankLayout
	item    int
	sides   [2][]int16
	clipped []int64 // of each item
	step    stepped
}

// sound implements dls.Sound.
func (t *turn) sound(dst []int16, wave int, from int64) error {
	is := t.layout.from[wave]
	if is.item != t.item {
		if err := t.take(is.item); err != nil {
			return err
		}
	}
	copy(dst, t.sides[is.side][from:])
	return nil
}

// take reads an item into memory.
func (t *turn) take(item int) error {
	t.item = item
	i := &t.layout.items[item]
	quantiser := wav.NewQuantiser(t.layout.Waves[t.layout.waves[item][0]].Bits, i.seed())
	t.sides[0], t.sides[1] = t.sides[0][:0], t.sides[1][:0]
	err := i.each(0, i.Frames(), func(piece []float32, _ int64) error {
		frames, stored := len(piece)/2, i.stored(piece)
		for k, sample := range stored {
			side := k % i.Cycle.channels()
			t.sides[side] = append(t.sides[side], int16(quantiser.Steps(t.layout.gain*sample)))
		}
		return t.step(frames)
	})
	t.clipped[item] = quantiser.Clipped()
	return err
}

// dynamicsNote says what each program plays.
func dynamicsNote(m *mapping.Map) string {
	if len(m.Layers) == 1 {
		return "program 0: " + m.Layers[0]
	}
	note := fmt.Sprintf("program 0: %s to %s on controller 1; 1: by velocity", m.Layers[0], m.Layers[len(m.Layers)-1])
	for i, layer := range m.Layers {
		note += fmt.Sprintf("; %d: %s", 2+i, layer)
	}
	return note
}
