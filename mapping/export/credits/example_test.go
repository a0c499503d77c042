package credits_test

import (
	"fmt"

	"lapstrake/mapping"
	"lapstrake/mapping/export/credits"
)

// Terms are read from the builder's own words. What could be a refusal counts as one.
func ExampleReadTerms() {
	for _, consent := range []string{"CC BY 4.0", "CC BY-NC 4.0", "ask me first", "not for sale, agreed: commercial", ""} {
		terms := credits.ReadTerms(consent)
		fmt.Printf("%q: %s; commercial: %q\n", consent, terms, terms.Forbids(credits.ForCommercial))
	}
	// Output:
	// "CC BY 4.0": free to use; commercial: ""
	// "CC BY-NC 4.0": not commercial; commercial: "not for commercial use"
	// "ask me first": read the words: some refusal or condition; commercial: "some refusal or condition that is not understood"
	// "not for sale, agreed: commercial": agreed: commercial, not commercial; commercial: ""
	// "": none noted; commercial: "no licence or consent is noted"
}

// Credits of a project come from Read; here they are made by hand.
func ExampleCredits() {
	c := &credits.Credits{Takes: []credits.Take{{
		Path: "ama/mug.wav", Credit: "Ama Fennimere", Title: "Mug and spoon", Consent: "CC0", Terms: credits.ReadTerms("CC0"),
		Places: []credits.Place{{
			Bed: "beds/soft-a-k060.wav", Layer: "soft", Strand: "a", Root: 60,
			Keys: []mapping.KeyRange{{Low: 49, High: 60}}, AudibleSec: 7,
		}},
	}}}
	fmt.Println("forbidden:", len(c.Forbidden(credits.ForSharing)))
	fmt.Print(string(c.Text("Yard", "", mapping.MiddleC4)))
	// Output:
	// forbidden: 0
	// Yard
	//
	// with the sounds of Ama Fennimere.
	//
	// Ama Fennimere
	//   Mug and spoon (ama/mug.wav)
	//     CC0
	//     heard for 7 s in 1 beds: soft a on C#3 to C4
}
