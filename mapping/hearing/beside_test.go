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
	heard := beside.Heard([]*Voice{beside.Voice(0), beside.Voice(1), beside.Voice(2)}, [][]float64{ones, ones, ones})
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
	company := Company{Cycles: []*Course{low}, Keys: [][]Companion{{{Power: 9}}}, Ratio: 1}
	beside := NewBeside([]*Course{low, high}, company)
	voices, powers := []*Voice{beside.Voice(0), beside.Voice(1)}, [][]float64{ones, ones}
	heard := beside.Heard(voices, powers)
	if heard[0] != 0 || math.Abs(heard[1]-5) > 1e-9 {
		t.Errorf("under nine low beds, low and high are heard for %.2f and %.2f of 5 s", heard[0], heard[1])
	}

	// On half of its keys nobody is beside it: there it is heard.
	company.Keys = append(company.Keys, nil)
	if heard := NewBeside([]*Course{low, high}, company).Heard(voices, powers); math.Abs(heard[0]-2.5) > 1e-9 {
		t.Errorf("covered on every other key, low is heard for %.2f of 5 s, want half", heard[0])
	}

	// It lacks 10 lg 9 − 6 dB and what its neighbours spread, less than 2 dB; a bell there brings it out.
	hz, counts := beside.NearlyHz(0, voices, powers, 5.6)
	for i := range hz {
		if hz[i] < BandHz(19.5) || hz[i] > BandHz(28) || counts[i] == 0 {
			t.Errorf("low is said to be nearly heard at %.0f Hz, at %d moments", hz[i], counts[i])
		}
	}
	if len(hz) == 0 {
		t.Error("low is said to be heard nearly nowhere")
	}
	if hz, _ := beside.NearlyHz(0, voices, powers, 3.5); len(hz) > 0 {
		t.Errorf("low lacks more than 3.5 dB, and is said to be nearly heard at %.0f Hz", hz)
	}
	voices[0] = beside.Shaped(0, func(hz float64) float64 {
		if hz < BandHz(24) {
			return sound.DBToPower(6)
		}
		return 1
	})
	if heard := beside.Heard(voices, powers); math.Abs(heard[0]-5) > 1e-9 {
		t.Errorf("brought out by 6 dB in half of its bands, low is heard for %.2f of 5 s", heard[0])
	}
}
