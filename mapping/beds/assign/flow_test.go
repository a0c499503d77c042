// Checks the sharing out against trying every possibility.

package assign

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// drawSharing draws a problem so small that all its placings can be tried.
func drawSharing(t *rapid.T) sharing {
	takes := rapid.IntRange(1, 4).Draw(t, "takes")
	beds := rapid.IntRange(1, 12/takes).Draw(t, "beds")
	s := sharing{cost: make([][]float64, takes), gated: make([]bool, takes),
		most: rapid.IntRange(1, takes).Draw(t, "most")}
	for i := range s.cost {
		s.gated[i] = rapid.Bool().Draw(t, "gated")
		s.cost[i] = make([]float64, beds)
		for j := range s.cost[i] {
			s.cost[i][j] = float64(rapid.IntRange(0, 40).Draw(t, "cost"))
		}
	}
	rising := func(label string, lowest, steepest, n int) []float64 {
		costs := []float64{float64(rapid.IntRange(lowest, 0).Draw(t, label))}
		for range n {
			costs = append(costs, costs[len(costs)-1]+float64(rapid.IntRange(0, steepest).Draw(t, label)))
		}
		return costs
	}
	uses := make([][]float64, takes)
	for i := range uses {
		uses[i] = rising("use", -60, 30, beds)
	}
	seats, gates := rising("seat", -40, 20, takes), rising("gate", 0, 20, takes)
	s.use = func(take, nth int) float64 { return uses[take][nth-1] }
	s.seat = func(nth int) float64 { return seats[nth-1] }
	s.gate = func(nth int) float64 { return gates[nth-1] }
	return s
}

// costOf is the cost of a placing by its definition.
func (s sharing) costOf(members [][]int) float64 {
	cost := 0.0
	uses := make([]int, len(s.cost))
	for bed, takes := range members {
		gated := 0
		for i, take := range takes {
			uses[take]++
			cost += s.cost[take][bed] + s.use(take, uses[take]) + s.seat(i+1)
			if s.gated[take] {
				gated++
				cost += s.gate(gated)
			}
		}
	}
	return cost
}

// everyPlacing calls try with each placing that keeps to the bound of seats.
func (s sharing) everyPlacing(try func(members [][]int)) {
	takes, beds := len(s.cost), len(s.cost[0])
	for bits := range 1 << (takes * beds) {
		members := make([][]int, beds)
		fits := true
		for bed := range members {
			for take := range takes {
				if bits>>(bed*takes+take)&1 == 1 {
					members[bed] = append(members[bed], take)
				}
			}
			fits = fits && len(members[bed]) <= s.most
		}
		if fits {
			try(members)
		}
	}
}

func TestSharingIsTheCheapest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSharing(t)
		members := s.share()
		for bed, takes := range members {
			seen := map[int]bool{}
			for _, take := range takes {
				if seen[take] {
					t.Fatalf("take %d is twice in bed %d: %v", take, bed, members)
				}
				seen[take] = true
			}
			if len(takes) > s.most {
				t.Fatalf("bed %d holds %d takes, at most %d are allowed", bed, len(takes), s.most)
			}
		}
		least := math.Inf(1)
		s.everyPlacing(func(members [][]int) { least = min(least, s.costOf(members)) })
		if got := s.costOf(members); got > least+1e-6 {
			t.Fatalf("found a placing of cost %v, there is one of %v; found %v", got, least, members)
		}
	})
}
