// What the words of a consent are taken for.

package terms

import (
	"strings"
	"testing"
)

// The terms that words give. Names of licences: Creative Commons (creativecommons.org/licenses) and their identifiers
// in the SPDX list; the phrases are common practice.
func TestWords(t *testing.T) {
	const (
		free, unread, doubtful = "free to use", "read the words", "read the words: some refusal or condition"
		nc, nd, sa, private    = "not commercial", "not to be changed", "share alike", "private use at most"
	)
	for said, consents := range map[string][]string{
		free: {"CC0", "CC0-1.0", "public domain", "CC BY 4.0", "cc-by-3.0", "Creative Commons BY 4.0",
			"https://creativecommons.org/licenses/by/4.0/", "https://creativecommons.org/publicdomain/zero/1.0/",
			"Attribution 4.0 International", "attribution required", "commercial and non-commercial use",
			"both commercial and non-commercial use allowed",
			"No attribution needed, commercial use OK", "no credit required, commercial use allowed",
			"CC0 (our own), no credit, commercial fine", "commercial use welcome",
			"no objection to commercial use, all fine", "private and commercial use allowed", "no rights reserved",
			"may be sold, no questions asked", "CC0, personally recorded",
			"CC BY 4.0 (no changes needed)", "without restriction", "not restricted in any way"},
		sa: {"CC BY-SA 4.0", "Attribution-ShareAlike 4.0"},
		nc: {"CC-BY-NC-4.0", "(CC) BY/NC", "CC BY-NC4.0", "CC-BY-NC4", "CC BY 4.0, NC", "CC-NC", "BY-NC 4.0",
			"https://creativecommons.org/licenses/by-nc/4.0/", "Creative Commons BY-NC 4.0",
			"CC BY 4.0 (sound), CC BY-NC 4.0 (tune)", "Please, no commercial use!", "not for any commercial purpose",
			"not for sale", "may not be used commercially", "non-commercial only",
			"commercial use is not allowed", "commercial use forbidden", "commercial use: prohibited",
			"commercial use: no", "don't use commercially", "cannot be used commercially",
			"can't be sold", "must not be sold", "do not sell", "never sell this", "non-profit use only",
			"Noncommercial", "fine for your band, but not for sale", "commercial use isn't allowed",
			"commercial use isn\u2019t permitted", "you aren't allowed to sell this", "isnt allowed for sale",
			"CC BY 4.0, isn't for sale", "CC BY 4.0, but commercial use disallowed", "everything but commercial use",
			"any use other than commercial", "commercial use banned", "noncomercial",
			"not agreed: commercial", "agreed: commercial withdrawn 2024", "we agreed: commercial use is out",
			"agreed: commercial-free use", "dis-agreed: commercial, not for sale"},
		nc + ", " + sa: {"CC BY\u2010NC\u2010SA 4.0", "CC BY–NC–SA 4.0", "CC BY-NCSA", "BY-NC-SA 4.0",
			"Attribution-NonCommercial-ShareAlike 4.0 International"},
		nd: {"CC BY-ND", "Attribution-NoDerivatives", "must not be altered",
			"unchanged use only, no edits"},
		nc + ", " + nd: {"cc by nc nd 4.0 international"},
		private: {"all rights reserved", "personal use only", "private only", "for private use",
			"not to be shared", "do not share", "no redistribution", "attribution required, all else reserved"},
		unread: {"may be used in the boatyard's instrument, by letter", "by word of mouth", "see the envelope"},
		doubtful: {"only in this instrument", "not before spring", "ask me unless it is urgent", "restricted",
			"not public domain", "CC0? pending", "CC BY 4.0, asked, awaiting answer",
			"CC BY 4.0, commercial licence available on request", "commercial use ok if you ask me first",
			"commercial use permitted with written consent", "commercial use allowed after payment of 50 euro",
			"asked by mail 3 May", "waiting for her reply", "consent pending", "expired"},
		"none noted": {"", "  ", "no", "None", "n/a", "-", "?", "pending", "not asked",
			"withdrawn", "revoked", "denied", "declined", "no permission", "not yet", "no answer yet"},
		"agreed: commercial": {"agreed: commercial", "by telephone, agreed: commercial",
			"Agreed: Commercial; see letter"},
		"agreed: commercial, " + doubtful: {"only in this instrument, agreed: commercial"},
		"agreed: sharing, " + nc:          {"not for sale; agreed: sharing"},
		"agreed: commercial, " + nc:       {"not for sale; agreed: sharing; agreed: commercial"},
	} {
		for _, consent := range consents {
			words := Read(consent)
			if words.String() != said {
				t.Errorf("%q: %q, want %q (%+v)", consent, words, said, words)
			}
			sharing := said == free || said == sa || said == unread || strings.HasPrefix(said, nc) &&
				said != nc+", "+nd || strings.HasPrefix(said, "agreed")
			commercial := said == free || said == sa || said == unread || strings.HasPrefix(said, "agreed: commercial")
			if (words.Forbids(ForSharing) == "") != sharing || (words.Forbids(ForCommercial) == "") != commercial {
				t.Errorf("%q: sharing %q, commercial %q; want allowed %v, %v", consent, words.Forbids(ForSharing),
					words.Forbids(ForCommercial), sharing, commercial)
			}
			if why := words.Forbids(ForPrivate) + words.Forbids(""); why != "" {
				t.Errorf("%q forbids private use: %s", consent, why)
			}
		}
	}
}
