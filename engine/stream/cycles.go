// The cycles of a map, opened: their beds' files, and the heads from which notes begin.

package stream

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"os"
	"slices"

	"lapstrake/mapping"
	"lapstrake/mapping/work"
)

// Cycles holds the cycles of a map, one a zone and layer, and for every start that
// the map can give its head in memory.
type Cycles struct {
	Map     *mapping.Map
	dir     string
	cycles  []*Cycle // zone-major
	plain   []*Cycle // the same, all of the beds' files
	heads   []Head
	headAt  map[headKey]int
	files   map[string]*BedFile
	closers *closers // nil once closed
}

// closers close what cycles have open, once all that share it are closed.
type closers struct {
	users int
	all   []func() error
}

// Head is the first stretch of a cycle after one start, in memory, with the few
// frames before the start that the resampling kernel looks back at.
type Head struct {
	cycle      *Cycle
	startFrame int64 // cycle frame of the start
	before     int64
	data       []float32
}

func (h *Head) frames() int64 { return int64(len(h.data)/2) - h.before }

// Cycle returns the cycle that the head begins.
func (h *Head) Cycle() *Cycle { return h.cycle }

// StartFrame returns the frame of the cycle at which the start lies.
func (h *Head) StartFrame() int64 { return h.startFrame }

type headKey struct {
	cycle *Cycle
	frame int64
}

// Open opens the beds of a map in the project folder dir and reads the heads.
// headBytes bounds the memory for heads; too little is an error that says what is
// needed. Where all beds fit into it beside short heads, they are in memory, and nothing is read from the disk any
// more.
func Open(m *mapping.Map, dir string, headBytes int64) (*Cycles, error) {
	c, err := OpenCycles(m, dir, Reduction{})
	if err != nil {
		return nil, err
	}
	c.placeHeads()
	headBytes, err = c.holdBeds(headBytes)
	if err == nil {
		err = c.readHeads(headBytes)
	}
	if err != nil {
		c.Close()
		return nil, err
	}
	return c, nil
}

// Reduction makes cycles smaller than a map has them; nothing of it leaves them as they are.
type Reduction struct {
	RateHz  int     // that all cycles run at; 0: that of their first bed
	BedsSec float64 // longest stretch that is used of a bed; 0: any
}

// OpenCycles opens the beds of a map in the project folder dir for reading their cycles alone,
// without heads.
func OpenCycles(m *mapping.Map, dir string, r Reduction) (*Cycles, error) {
	c := &Cycles{Map: m, dir: dir, headAt: map[headKey]int{}, files: map[string]*BedFile{},
		closers: &closers{users: 1}}
	if err := c.openCycles(dir, r); err != nil {
		c.Close()
		return nil, err
	}
	c.plain = c.cycles
	return c, nil
}

// Dir is the folder that the beds' paths lead from.
func (c *Cycles) Dir() string { return c.dir }

// Close closes the beds, unless others made of these cycles have them open. No cycle may be read after it. Only one
// goroutine at a time may close cycles that share beds, or make others of them.
func (c *Cycles) Close() error {
	open := c.closers
	if c.closers = nil; open == nil {
		return nil
	}
	if open.users--; open.users > 0 {
		return nil
	}
	var failed []error
	for _, closer := range open.all {
		failed = append(failed, closer())
	}
	return errors.Join(failed...)
}

// Files returns the open beds, each once.
func (c *Cycles) Files() []*BedFile {
	paths := slices.Sorted(maps.Keys(c.files))
	files := make([]*BedFile, len(paths))
	for i, path := range paths {
		files[i] = c.files[path]
	}
	return files
}

// ChangedBeds returns the paths of the beds that are not on disk any more as they were opened.
func (c *Cycles) ChangedBeds() (paths []string) {
	for _, file := range c.Files() {
		if file.leadsElsewhere(c.dir) {
			paths = append(paths, file.Path)
		}
	}
	return paths
}

// Cycle returns the cycle of a zone and layer by their indices in the map.
func (c *Cycles) Cycle(zone, layer int) *Cycle { return c.cycles[zone*len(c.Map.Layers)+layer] }

// Head returns the head of a zone and layer at a start that the map can give.
func (c *Cycles) Head(zone, layer int, start float64) *Head {
	cycle := c.Cycle(zone, layer)
	return &c.heads[c.headAt[headKey{cycle, cycle.StartFrame(start)}]]
}

func (c *Cycles) openCycles(dir string, r Reduction) error {
	root, err := os.OpenRoot(dir) // refuses links that lead out of the project
	if err != nil {
		return err
	}
	c.closers.all = append(c.closers.all, root.Close)
	var problems []error
	for _, zone := range c.Map.Zones {
		for _, layer := range c.Map.Layers {
			cycle, err := c.openCycle(root, zone.Beds[layer], r)
			if err != nil {
				err = fmt.Errorf("rank %s, root %d, layer %s: %w", zone.Rank, zone.Root, layer, err)
				problems = append(problems, err)
				continue
			}
			c.cycles = append(c.cycles, cycle)
		}
	}
	return errors.Join(problems...)
}

func (c *Cycles) openCycle(root *os.Root, paths []string, r Reduction) (*Cycle, error) {
	var beds []Bed
	for _, path := range paths {
		file, err := c.openBed(root, path)
		if err != nil {
			return nil, err
		}
		beds = append(beds, file)
	}
	rateHz, bedSec := beds[0].RateHz(), c.Map.BedSec
	if r != (Reduction{}) { // lengths need not come out to the frame: no bed is too short for them
		for i := range beds {
			beds[i] = shortened(shortened(beds[i], bedSec), r.BedsSec)
		}
		bedSec = 0
	}
	if r.RateHz > 0 {
		rateHz = r.RateHz
	}
	toFrames := func(seconds float64) int64 { return int64(math.Round(seconds * float64(rateHz))) }
	return NewCycle(beds, rateHz, toFrames(c.Map.OverlapSec), toFrames(bedSec))
}

// openBed opens each bed once, however many zones play it.
func (c *Cycles) openBed(root *os.Root, path string) (*BedFile, error) {
	if file := c.files[path]; file != nil {
		return file, nil
	}
	file, err := OpenBed(root, path)
	if err != nil {
		return nil, err
	}
	c.files[path] = file
	c.closers.all = append(c.closers.all, file.Close)
	return file, nil
}

// placeHeads lists the heads: one for every start of every cycle.
func (c *Cycles) placeHeads() {
	for i := range c.Map.Zones {
		zone := &c.Map.Zones[i]
		for layer := range c.Map.Layers {
			cycle := c.Cycle(i, layer)
			for _, start := range c.Map.Starts(zone) {
				key := headKey{cycle, cycle.StartFrame(start)}
				if _, found := c.headAt[key]; !found {
					c.headAt[key] = len(c.heads)
					c.heads = append(c.heads, Head{cycle: cycle, startFrame: key.frame, before: headBefore})
				}
			}
		}
	}
}

// holdBeds reads all beds into memory where they fit into headBytes beside the shortest heads. It returns what is left
// for the heads.
func (c *Cycles) holdBeds(headBytes int64) (leftBytes int64, err error) {
	leftBytes = headBytes
	for _, file := range c.files {
		leftBytes -= file.info.Size()
	}
	if leftBytes < int64(len(c.heads))*(leastHead+headBefore)*frameBytes {
		return headBytes, nil
	}
	for _, file := range c.Files() {
		if err := file.hold(); err != nil {
			return 0, err
		}
	}
	return leftBytes, nil
}

// readHeads reads the heads, on all processors.
func (c *Cycles) readHeads(headBytes int64) error {
	frames := headFrames(len(c.heads), headBytes)
	if frames < leastHead {
		return fmt.Errorf("%d starts need %d MB of memory for their first frames: allow more memory or give the map "+
			"fewer starts",
			len(c.heads), (int64(len(c.heads))*(leastHead+headBefore)*frameBytes*2)>>20+1)
	}
	each := 2 * int(frames+headBefore)
	block := make([]float32, each*len(c.heads)) // one block without pointers
	return work.Each(context.Background(), len(c.heads), func(_ context.Context, i int) error {
		head := &c.heads[i]
		head.data = block[i*each : (i+1)*each : (i+1)*each]
		return head.cycle.ReadFrames(head.data, head.startFrame-headBefore)
	})
}
