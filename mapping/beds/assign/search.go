// Improving a placing step by step, for what a flow cannot weigh: which takes are together.

package assign

import (
	"math/rand/v2"
	"slices"
)

// search improves a placing by single changes until none helps: moving a take to another bed, putting another in
// its place, exchanging two, adding one, leaving one out.
type search struct {
	*mix
	order  *rand.Rand
	others []int // scratch

	logging bool // changes are noted, to be taken back
	log     []logged
	gained  float64 // what the noted changes cost together
}

type logged struct {
	seatOf
	joined bool
}

const (
	mostSweeps = 30  // bounds a descent, which ends by itself after a handful
	mostKicks  = 400 // for small collections
	kickWork   = 2e5 // takes times beds times kicks, for large ones
)

func newSearch(c *costs, members [][]int) *search {
	return &search{mix: newMix(c, members), order: rand.New(rand.NewPCG(c.Seed, 0x6c61707374726b65))}
}

// seatOf is a take's place in a bed.
type seatOf struct{ take, bed int }

func (s *search) run() {
	beds := s.order.Perm(len(s.slots))
	s.descend(beds)
	if len(s.candidates) == 0 || len(s.slots) < 2 {
		return
	}
	for range min(mostKicks, kickWork/(len(s.candidates)*len(s.slots))) {
		s.kick()
	}
}

// descend improves the seats of beds until nothing helps.
func (s *search) descend(beds []int) {
	for range mostSweeps {
		better := false
		for _, seat := range s.shuffledSeats(beds) {
			if s.in[seat.take][seat.bed] && s.improve(seat) {
				better = true
			}
		}
		for _, bed := range beds {
			for s.improveByAdding(bed) {
				better = true
			}
		}
		if !better {
			return
		}
	}
}

// kick moves two takes by chance, improves the beds concerned, and takes all of that back unless it was worth it: so
// the search gets beyond what single changes reach (iterated local search; Lourenço, Martin & Stützle 2003).
func (s *search) kick() {
	s.log, s.gained, s.logging = s.log[:0], 0, true
	var beds []int
	for range 2 {
		bed, to := s.order.IntN(len(s.slots)), s.order.IntN(len(s.slots))
		if len(s.members[bed]) == 0 {
			continue
		}
		take := s.members[bed][s.order.IntN(len(s.members[bed]))]
		s.leave(take, bed)
		if s.hasRoom(take, to) {
			s.join(take, to)
		}
		beds = append(beds, bed, to)
	}
	slices.Sort(beds)
	s.descend(slices.Compact(beds))
	s.logging = false
	if s.gained < -rounding {
		return
	}
	for _, done := range slices.Backward(s.log) {
		if done.joined {
			s.remove(done.take, done.bed)
		} else {
			s.add(done.take, done.bed)
		}
	}
}

// join puts a take into a bed, leave takes it away; both note what that costs.
func (s *search) join(take, bed int) {
	if s.logging {
		s.gained += s.joining(take, bed)
		s.log = append(s.log, logged{seatOf{take, bed}, true})
	}
	s.add(take, bed)
}

func (s *search) leave(take, bed int) {
	s.remove(take, bed)
	if s.logging {
		s.gained -= s.joining(take, bed)
		s.log = append(s.log, logged{seatOf{take, bed}, false})
	}
}

func (s *search) shuffledSeats(beds []int) []seatOf {
	var seats []seatOf
	for _, bed := range beds {
		for _, take := range slices.Sorted(slices.Values(s.members[bed])) {
			seats = append(seats, seatOf{take, bed})
		}
	}
	s.order.Shuffle(len(seats), func(i, j int) { seats[i], seats[j] = seats[j], seats[i] })
	return seats
}

// change is what may happen to a seat: its take goes to another bed, or away if to < 0; another take comes, from
// another bed or anew if from < 0, or none if comes < 0. Of takes that come anew while the seat's own goes to another
// bed, only those that are wanted in every layer or strand are tried.
type change struct {
	cost            float64
	to, comes, from int
}

// improve makes the best change to a seat. It reports whether there was one.
func (s *search) improve(seat seatOf) bool {
	s.leave(seat.take, seat.bed)
	stays := s.joining(seat.take, seat.bed)
	best := change{cost: stays - rounding, to: seat.bed, comes: -1, from: -1}
	if best.cost > 0 {
		best.cost, best.to = 0, -1
	}
	s.tryMoves(seat, &best)
	s.tryReplacements(seat, &best)
	s.tryPushes(seat, &best)
	s.tryExchanges(seat, stays, &best)
	if best.comes >= 0 && best.from >= 0 {
		s.leave(best.comes, best.from)
	}
	if best.comes >= 0 {
		s.join(best.comes, seat.bed)
	}
	if best.to >= 0 {
		s.join(seat.take, best.to)
	}
	return best.to != seat.bed
}

func (s *search) hasRoom(take, bed int) bool {
	return !s.in[take][bed] && len(s.members[bed]) < s.MostTakes
}

func (s *search) tryMoves(seat seatOf, best *change) {
	for bed := range s.slots {
		if bed != seat.bed && s.hasRoom(seat.take, bed) {
			if cost := s.joining(seat.take, bed); cost < best.cost {
				*best = change{cost, bed, -1, -1}
			}
		}
	}
}

func (s *search) tryReplacements(seat seatOf, best *change) {
	known := s.seat(len(s.members[seat.bed])+1) - s.shortage(s.seconds[seat.bed])
	for take := range s.candidates {
		if take == seat.take || s.in[take][seat.bed] ||
			known+s.place[take][seat.bed]+s.use(take, s.uses[take]+1)+s.home(take, seat.bed)+s.every(take, seat.bed)+
				s.mixed(take, seat.bed) >= best.cost {
			continue // company costs are never below 0
		}
		if cost := s.joining(take, seat.bed); cost < best.cost {
			*best = change{cost, -1, take, -1}
		}
	}
}

// tryPushes looks at takes that the builder wants in one more layer or strand, and whose coming moves the seat's take
// to another bed. It is worth much, and no two single changes lead to it where the first of them is a loss.
func (s *search) tryPushes(seat seatOf, best *change) {
	for take := range s.candidates {
		if take == seat.take || s.in[take][seat.bed] || s.every(take, seat.bed) == 0 {
			continue
		}
		comes := s.joining(take, seat.bed)
		s.add(take, seat.bed)
		for bed := range s.slots {
			if bed != seat.bed && s.hasRoom(seat.take, bed) {
				if cost := comes + s.joining(seat.take, bed); cost < best.cost {
					*best = change{cost, bed, take, -1}
				}
			}
		}
		s.remove(take, seat.bed)
	}
}

// tryExchanges looks at every other seat whose take could change places with this one. Seats and uses are as many
// before as after, so only the places, homes, company, noise and length count; an exchange whose places cost more than
// all of that could save is not tried.
func (s *search) tryExchanges(seat seatOf, stays float64, best *change) {
	here := s.place[seat.take][seat.bed]
	own := s.company(seat.take, seat.bed) + 3*costShortBed + 2*costNoHome + costNoiseOnly + s.mostMixed() +
		s.mostEvery(seat.take)
	for bed := range s.slots {
		if bed == seat.bed || s.in[seat.take][bed] {
			continue
		}
		there := s.place[seat.take][bed]
		s.others = append(s.others[:0], s.members[bed]...)
		for _, other := range s.others {
			moved := there - here + s.place[other][seat.bed] - s.place[other][bed]
			if s.in[other][seat.bed] || stays+moved-own-s.company(other, bed)-s.mostEvery(other) >= best.cost {
				continue
			}
			if cost := s.exchange(seat, other, bed); cost < best.cost {
				*best = change{cost, bed, other, bed}
			}
		}
	}
}

// exchange is what it costs, with seat empty, to put its take into bed in the place of other, which takes the seat.
func (s *search) exchange(seat seatOf, other, bed int) float64 {
	s.remove(other, bed)
	cost := -s.joining(other, bed)
	cost += s.joining(other, seat.bed)
	s.add(other, seat.bed)
	cost += s.joining(seat.take, bed)
	s.remove(other, seat.bed)
	s.add(other, bed)
	return cost
}

// improveByAdding gives a bed one more take if that is worth it.
func (s *search) improveByAdding(bed int) bool {
	best, least := -1, -rounding
	for take := range s.candidates {
		if s.hasRoom(take, bed) {
			if cost := s.joining(take, bed); cost < least {
				best, least = take, cost
			}
		}
	}
	if best >= 0 {
		s.join(best, bed)
	}
	return best >= 0
}
