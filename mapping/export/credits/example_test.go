package credits_test

import (
	"fmt"

	"lapstrake/mapping"
	"lapstrake/mapping/export/credits"
	"lapstrake/mapping/takes/terms"
)

// Credits of a project come from Read; here they are made by hand.
func ExampleCredits() {
	c := &credits.Credits{Takes: []credits.Take{{
		Path: "ama/mug.wav", Credit: "Ama Fennimere", Title: "Mug and spoon", Terms: terms.PublicDomain,
		Places: []credits.Place{{
			Bed: "beds/soft-a-k060.wav", Layer: "soft", Strand: "a", Root: 60,
			Keys: []mapping.KeyRange{{Low: 49, High: 60}}, HeardSec: 7,
		}},
	}}}
	fmt.Println("forbidden:", len(c.Forbidden(terms.ForSharing)))
	fmt.Print(string(c.Text("Yard", "", mapping.MiddleC4)))
	// Output:
	// forbidden: 0
	// Yard
	//
	// with the sounds of Ama Fennimere.
	//
	// Ama Fennimere
	//   Mug and spoon (ama/mug.wav)
	//     CC0-1.0
	//     heard for 7 s of a turn in 1 bed: soft a on C#3 to C4
}
