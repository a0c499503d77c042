// Sharing takes out to beds at the least cost, as a flow.

package assign

import "math"

// sharing is a transport problem. Takes are lines of cost, beds its columns; a take goes at most once into each
// bed, and into any number of beds. Its whole cost is the sum of cost[take][bed] over all places, of
// use(take, n) for the nth bed a take goes into, of seat(n) for the nth take of a bed, and of gate(n) for the nth
// gated take of a bed. Each of the three must not fall as n rises; they may be below 0, which makes places worth
// taking.
type sharing struct {
	cost  [][]float64
	gated []bool // takes that also pass their bed's gate
	most  int    // takes that no bed holds more of
	use   func(take, nth int) float64
	seat  func(nth int) float64
	gate  func(nth int) float64
}

// flow finds places by successive shortest paths (Ahuja, Magnanti & Orlin, Network Flows, 9.7): each path adds one
// place, moving others out of its way, and the cost after it is the least that this many places can have. It ends
// when another place would cost more than it is worth, which makes the result a least one of all.
//
// A path enters at a take and then goes from bed to bed: what it needs to know of the takes in between is only which
// of a bed's moves most cheaply to each other bed. So the graph has two nodes for a bed and none for a take, and its
// size does not depend on the number of takes. Costs can be below 0, paths are found as by Bellman and Ford.
type flow struct {
	sharing
	beds    int
	members [][]int // of each bed
	uses    []int   // of each take
	gates   []int   // gated takes of each bed
	in      [][]bool

	enter []step // node: the cheapest take to come in
	move  []step // from node × bed: the cheapest take to go over, of the kind that the node holds
}

// step is the cheapest take for a step of a path, −1 if there is none.
type step struct {
	take int
	cost float64
}

// Node 2b is bed b, where other takes come in and a free seat ends a path; node 2b+1 is its gate.
func (f *flow) node(take, bed int) int {
	if f.gated[take] {
		return 2*bed + 1
	}
	return 2 * bed
}

// share returns the members of each bed, in the order in which they came.
func (s sharing) share() [][]int {
	f := &flow{sharing: s, uses: make([]int, len(s.cost))}
	if len(s.cost) == 0 {
		return nil
	}
	f.beds = len(s.cost[0])
	f.members, f.gates = make([][]int, f.beds), make([]int, f.beds)
	f.in = make([][]bool, len(s.cost))
	for i := range f.in {
		f.in[i] = make([]bool, f.beds)
	}
	f.enter, f.move = make([]step, 2*f.beds), make([]step, 2*f.beds*f.beds)
	for bed := range f.beds {
		f.findEnter(bed)
		f.findMoves(bed)
	}
	for f.augment() {
	}
	return f.members
}

func (f *flow) findEnter(bed int) {
	f.enter[2*bed], f.enter[2*bed+1] = step{-1, math.Inf(1)}, step{-1, math.Inf(1)}
	for take := range f.cost {
		f.offerEnter(take, bed)
	}
}

func (f *flow) offerEnter(take, bed int) {
	if f.in[take][bed] {
		return
	}
	best := &f.enter[f.node(take, bed)]
	if cost := f.cost[take][bed] + f.use(take, f.uses[take]+1); cost < best.cost {
		*best = step{take, cost}
	}
}

func (f *flow) findMoves(bed int) {
	for node := 2 * bed; node < 2*bed+2; node++ {
		row := f.move[node*f.beds : (node+1)*f.beds]
		for to := range row {
			row[to] = step{-1, math.Inf(1)}
		}
		for _, take := range f.members[bed] {
			if f.node(take, bed) != node {
				continue
			}
			for to := range row {
				if cost := f.cost[take][to] - f.cost[take][bed]; !f.in[take][to] && cost < row[to].cost {
					row[to] = step{take, cost}
				}
			}
		}
	}
}

// rounding is what sums of costs may be off by.
const rounding = 1e-7

// augment adds one place along the shortest path. It reports whether that was worth its cost.
func (f *flow) augment() bool {
	cost, from := f.shortestPaths()
	end, least := -1, -rounding
	for bed := range f.beds {
		if n := len(f.members[bed]); n < f.most {
			if total := cost[2*bed] + f.seat(n+1); total < least {
				end, least = bed, total
			}
		}
	}
	if end < 0 {
		return false
	}
	f.apply(2*end, from)
	return true
}

// shortestPaths returns what it costs to come to each node, and the node before it, −1 for a take that comes in.
func (f *flow) shortestPaths() (cost []float64, from []int) {
	nodes := 2 * f.beds
	cost, from = make([]float64, nodes), make([]int, nodes)
	waits := make([]bool, nodes)
	var queue []int
	for node := range cost {
		cost[node], from[node] = f.enter[node].cost, -1
		if f.enter[node].take >= 0 {
			queue, waits[node] = append(queue, node), true
		}
	}
	for len(queue) > 0 {
		node := queue[0]
		queue, waits[node] = queue[1:], false
		reach := func(to int, by float64) {
			if total := cost[node] + by; total < cost[to]-rounding/1000 {
				cost[to], from[to] = total, node
				if !waits[to] {
					queue, waits[to] = append(queue, to), true
				}
			}
		}
		bed, kind := node/2, node%2
		for to, s := range f.move[node*f.beds : (node+1)*f.beds] {
			if s.take >= 0 {
				reach(2*to+kind, s.cost)
			}
		}
		if kind == 1 {
			reach(2*bed, f.gate(f.gates[bed]+1))
		} else if f.gates[bed] > 0 {
			reach(2*bed+1, -f.gate(f.gates[bed]))
		}
	}
	return cost, from
}

// apply carries out the path that ends at node, then brings the steps up to date.
func (f *flow) apply(node int, from []int) {
	var takes []int
	changedBeds := map[int]bool{}
	var changes []func()
	for node >= 0 {
		before, bed := from[node], node/2
		changedBeds[bed] = true
		switch {
		case before < 0:
			take := f.enter[node].take
			takes = append(takes, take)
			changes = append(changes, func() { f.put(take, bed); f.uses[take]++ })
		case before/2 != bed:
			take := f.move[before*f.beds+bed].take
			takes = append(takes, take)
			changes = append(changes, func() { f.drop(take, before/2); f.put(take, bed) })
		}
		node = before
	}
	for _, change := range changes {
		change()
	}
	f.refresh(takes, changedBeds)
}

func (f *flow) put(take, bed int) {
	f.in[take][bed] = true
	f.members[bed] = append(f.members[bed], take)
	if f.gated[take] {
		f.gates[bed]++
	}
}

func (f *flow) drop(take, bed int) {
	f.in[take][bed] = false
	kept := f.members[bed][:0]
	for _, member := range f.members[bed] {
		if member != take {
			kept = append(kept, member)
		}
	}
	f.members[bed] = kept
	if f.gated[take] {
		f.gates[bed]--
	}
}

// refresh finds the steps anew that the changed takes and beds can have altered.
func (f *flow) refresh(takes []int, changedBeds map[int]bool) {
	for bed := range f.beds {
		enterStale, movesStale := false, changedBeds[bed]
		for _, take := range takes {
			enterStale = enterStale || f.enter[f.node(take, bed)].take == take
			movesStale = movesStale || f.in[take][bed]
		}
		if enterStale {
			f.findEnter(bed)
		} else {
			for _, take := range takes {
				f.offerEnter(take, bed)
			}
		}
		if movesStale {
			f.findMoves(bed)
		}
	}
}
