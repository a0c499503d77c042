// What was understood of a consent, in a few words, as the tests expect it.

package terms

import (
	"strings"
)

// unread says that nothing was understood of the words, and that they hold no sign of a refusal: a person has to read
// them.
func (t Words) unread() bool { return t.Given && !t.Understood && !t.Doubtful && t.Agreed == "" }

// String gives the terms in a few words.
func (t Words) String() string {
	if !t.Given {
		return "none noted"
	}
	var words []string
	if t.Agreed != "" {
		words = append(words, "agreed: "+string(t.Agreed))
	}
	for _, term := range []struct {
		holds bool
		word  string
	}{{t.Reserved, "private use at most"}, {t.NonCommercial, "not commercial"}, {t.NoDerivatives, "not to be changed"},
		{t.ShareAlike, "share alike"}, {t.Doubtful, "read the words: some refusal or condition"}, {t.unread(),
			"read the words"}} {
		if term.holds {
			words = append(words, term.word)
		}
	}
	if words == nil {
		return "free to use"
	}
	return strings.Join(words, ", ")
}
