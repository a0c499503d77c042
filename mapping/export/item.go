// Item: one cycle from one start on, which becomes one file of the set.

package export

import (
	"fmt"
	"hash/fnv"
	"slices"

	"lapstrake/mapping"
)

// Item is the cycle of a zone and layer, turned so that it begins at a start.
type Item struct {
	Folder     string // of its files, in that of their part: one for each layer and rank
	Name       string // of its files, without folder and ending
	Zone       *mapping.Zone
	Layer      int                // index into the map's
	Start      float64            // in turns
	Press, Of  int                // it sounds at press Press, counted from 1, of every Of; 1 of 1: at every press
	Keys       []mapping.KeyRange // that it serves, rising
	some       bool               // of its zone's keys; others have other items
	Cycle      Cycle
	startFrame int64
	measured   *measures // of the files of all sets; filled in before they are written
}

// items lists what is to be written, layer by layer and rank by rank.
func (j *Job) items() ([]Item, error) {
	var all []Item
	for layer := range j.Map.Layers {
		for i := range j.Map.Zones {
			all = append(all, j.itemsOf(i, layer)...)
		}
	}
	return all, nameItems(all, j.Map)
}

func (j *Job) itemsOf(zone, layer int) []Item {
	z := &j.Map.Zones[zone]
	cycle := j.Cycles(zone, layer)
	add := func(items []Item, start float64, keys []mapping.KeyRange) []Item {
		return append(items, Item{Zone: z, Layer: layer, Start: start, Press: 1, Of: 1, Keys: keys, Cycle: cycle,
			startFrame: cycle.StartFrame(start), measured: &measures{}})
	}
	whole := j.Map.KeysOf(zone)
	if len(whole) == 0 { // by its pitch, no key falls into it
		return nil
	}
	first := j.Map.Start(z, z.Low, 0)
	var items []Item
	switch {
	case j.Starts != AllStarts:
		return add(nil, first, whole)
	case j.Map.Stagger.By == mapping.ByKey:
		for _, start := range j.Map.Starts(z) {
			if keys := j.keysOf(whole, z, start); len(keys) > 0 {
				items = add(items, start, keys)
				items[len(items)-1].some = !slices.Equal(keys, whole)
			}
		}
		return items
	case j.Map.Stagger.By == mapping.ByPress:
		for press := range j.Map.Stagger.Starts {
			items = add(items, j.Map.Start(z, z.Low, int64(press)), whole)
		}
	default:
		for _, start := range j.startsFrom(first) {
			items = add(items, start, whole)
		}
	}
	for i := range items {
		items[i].Press, items[i].Of = i+1, len(items)
	}
	return items
}

// keysOf lists the keys that sound a zone and begin at a start.
func (j *Job) keysOf(all []mapping.KeyRange, z *mapping.Zone, start float64) (runs []mapping.KeyRange) {
	for _, keys := range all {
		for key := keys.Low; key <= keys.High; key++ {
			switch last := len(runs) - 1; {
			case j.Map.Start(z, key, 0) != start:
			case last >= 0 && runs[last].High == key-1:
				runs[last].High = key
			default:
				runs = append(runs, mapping.KeyRange{Low: key, High: key})
			}
		}
	}
	return runs
}

// startsFrom lists the different starts of the map's zones, from first on and round.
func (j *Job) startsFrom(first float64) []float64 {
	var starts []float64
	for i := range j.Map.Zones {
		if start := j.Map.Zones[i].Start; !slices.Contains(starts, start) {
			starts = append(starts, start)
		}
	}
	slices.Sort(starts)
	at := slices.Index(starts, first)
	return append(starts[at:len(starts):len(starts)], starts[:at]...)
}

// seed gives the item a dither unlike that of others.
func (i *Item) seed() uint64 {
	h := fnv.New64a()
	h.Write([]byte(i.Name))
	return h.Sum64()
}

// Frames is how long the file is.
func (i *Item) Frames() int64 { return i.Cycle.Frames }

// read fills dst with frames of the item, counted from its start.
func (i *Item) read(dst []float32, from int64) error {
	if err := i.Cycle.ReadFrames(dst, i.startFrame+from); err != nil {
		return fmt.Errorf("rank %s, root %d: %w", i.Zone.Rank, i.Zone.Root, err)
	}
	return nil
}

// stored are the samples that a file holds of stereo frames: those of one side, in the same place, where the cycle is
// mono.
func (i *Item) stored(frames []float32) []float32 {
	if !i.Cycle.Mono {
		return frames
	}
	for k := range len(frames) / 2 {
		frames[k] = frames[2*k]
	}
	return frames[:len(frames)/2]
}

// pieceFrames is how much is read at a time.
const pieceFrames = 8192

// each calls take for the item's frames from frame from up to, not including, to: piece by piece, with the frame that
// the piece begins at.
func (i *Item) each(from, to int64, take func(piece []float32, at int64) error) error {
	buffer := make([]float32, 2*pieceFrames)
	for at := from; at < to; at += pieceFrames {
		piece := buffer[:2*min(pieceFrames, to-at)]
		if err := i.read(piece, at); err != nil {
			return err
		}
		if err := take(piece, at); err != nil {
			return err
		}
	}
	return nil
}
