// What terms allow, how they are read, and what is suggested.

package terms

import "testing"

// What a licence allows is from its deed (creativecommons.org/licenses); its identifier is SPDX's.
func TestForbids(t *testing.T) {
	for terms, want := range map[Terms][2]bool{ // allowed for sharing, for commercial use
		"": {}, Asked: {}, Refused: {}, AgreedPrivate: {}, AgreedSharing: {true, false},
		AgreedCommercial: {true, true},
		"CC0-1.0":        {true, true}, "CC-BY-4.0": {true, true}, "CC-BY-SA-3.0": {true, true},
		"CC-BY-NC-2.5":    {true, false},
		"CC-BY-NC-SA-4.0": {true, false}, "CC-BY-ND-4.0": {}, "CC-BY-NC-ND-2.0": {},
	} {
		if got := [2]bool{terms.Forbids(ForSharing) == "", terms.Forbids(ForCommercial) == ""}; got != want {
			t.Errorf("%q allows sharing, commercial use: %v, want %v", terms, got, want)
		}
		if private := terms.Forbids(ForPrivate) == ""; private != (terms != Refused) {
			t.Errorf("%q allows private use: %v", terms, private)
		}
	}
}

func TestParse(t *testing.T) {
	for cell, want := range map[string]Terms{"": "", " cc-by-4.0 ": "CC-BY-4.0", "Agreed-Sharing": AgreedSharing,
		"CC0-1.0": PublicDomain} {
		if got, err := Parse(cell); got != want || err != nil {
			t.Errorf("%q: %q, %v; want %q", cell, got, err, want)
		}
	}
	for _, cell := range []string{"CC BY", "CC-BY-5.0", "yes", "agreed: commercial", "CC-BY-SA-NC-4.0"} {
		if got, err := Parse(cell); err == nil {
			t.Errorf("%q was taken for %q", cell, got)
		}
	}
}

// A suggestion is made only where the words leave no doubt.
func TestSuggest(t *testing.T) {
	for consent, want := range map[string]Terms{
		"CC0": PublicDomain, "CC BY 4.0": "CC-BY-4.0", "cc-by-nc-3.0": "CC-BY-NC-3.0",
		"Creative Commons BY-SA 2.5":                         "CC-BY-SA-2.5",
		"https://creativecommons.org/licenses/by-nc-nd/4.0/": "CC-BY-NC-ND-4.0", "CC BY": "CC-BY-4.0",
		"CC BY\u2011NC 4.0":                "CC-BY-NC-4.0",
		"by telephone, agreed: commercial": AgreedCommercial, "agreed: sharing": AgreedSharing,
		"for private use": AgreedPrivate,
		"not for sale":    AgreedSharing, "commercial use welcome": AgreedCommercial,
		"withdrawn": Refused, "asked": Asked,
		"": "", "by letter": "", "CC BY 4.0, asked, awaiting answer": "", "only if you ask me first": "",
		"CC BY 4.0, not for sale":                "",
		"CC BY 4.0 (sound), CC BY-NC 4.0 (tune)": "",
	} {
		if got := Suggest(consent); got != want {
			t.Errorf("%q: suggested %q, want %q", consent, got, want)
		}
	}
}
