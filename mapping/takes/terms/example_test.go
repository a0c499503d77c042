package terms_test

import (
	"fmt"

	"lapstrake/mapping/takes/terms"
)

// Terms decide; the words of a consent only suggest them.
func Example() {
	for _, consent := range []string{"CC BY-NC 4.0", "ask me first", "by telephone, agreed: commercial"} {
		suggested := terms.Suggest(consent)
		fmt.Printf("%q: %q; commercial: %q\n", consent, suggested, suggested.Forbids(terms.ForCommercial))
	}
	// Output:
	// "CC BY-NC 4.0": "CC-BY-NC-4.0"; commercial: "not for commercial use"
	// "ask me first": ""; commercial: "its terms are open"
	// "by telephone, agreed: commercial": "agreed-commercial"; commercial: ""
}
