package hearing

import (
	"math"
	"testing"

	"lapstrake/mapping/sound"
)

// A bed on its own is heard as a note of one cycle without crossfades is.
func TestBesideNobodyIsANote(t *testing.T) {
	var takes []*Course
	for take := range 3 {
		c := &Course{}
		for block := range 40 {
			var e Excitation
			for band := 20 + take; band < 32; band++ {
				e[band] = sound.DBToPower(-40 - float64((block*(take+3))%23))
			}
			c.Add(&e)
		}
		takes = append(takes, c)
	}
	const ratio = 0.8
	beside := NewBeside(takes, Company{Ratio: ratio})
	ones := make([]float64, 40)
	for block := range ones {
		ones[block] = 1
	}
	heard := beside.Heard([][]float64{ones, ones, ones})
	note := NewNote([]Cycle{{Beds: []Bed{{Sec: 10, Takes: takes}}, Ratio: ratio}})
	for take, m := range note.Listen([]float64{1}, note.LongestTurnSec()) {
		if want := m.Share() * 10; math.Abs(heard[take]-want) > 0.5 { // the note is looked at at other moments
			t.Errorf("take %d is heard for %.2f s, in the note for %.2f s", take, heard[take], want)
		}
		if heard[take] == 0 || heard[take] == 10 {
			t.Errorf("take %d is heard for %.2f of 10 s, which tells nothing", take, heard[take])
		}
	}
}

// What a company covers is heard for a shorter time, and what it does not cover as long as before.
func TestBesideCoversItsBands(t *testing.T) {
	low, high := &Course{}, &Course{}
	for range 20 {
		var l, h Excitation
		for band := range 8 {
			l[20+band], h[60+band] = 1.0/16, 1.0/16
		}
		low.Add(&l)
		high.Add(&h)
	}
	ones := make([]float64, 20)
	for block := range ones {
		ones[block] = 1
	}
	heard := NewBeside([]*Course{low, high}, Company{Leads: low, Beds: 9, Ratio: 1}).Heard([][]float64{ones, ones})
	if heard[0] != 0 || math.Abs(heard[1]-5) > 1e-9 {
		t.Errorf("under nine low beds, low and high are heard for %.2f and %.2f of 5 s", heard[0], heard[1])
	}
}
