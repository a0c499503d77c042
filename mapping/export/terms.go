// What a licence or consent allows, as far as its words tell.

package export

import (
	"fmt"
	"regexp"
	"strings"
)

// Use is what an export is meant for.
type Use string

// The uses: sold; given away; kept to oneself. "" is not said.
const (
	ForCommercial Use = "commercial"
	ForSharing    Use = "sharing"
	ForPrivate    Use = "private"
)

// ParseUse reads a use.
func ParseUse(word string) (Use, error) {
	switch use := Use(word); use {
	case "", ForCommercial, ForSharing, ForPrivate:
		return use, nil
	}
	return "", fmt.Errorf("%q: expected %s, %s or %s", word, ForCommercial, ForSharing, ForPrivate)
}

// Terms are what is understood of a consent in the builder's own words. They are a help in reading, not advice in law:
// the words themselves decide.
type Terms struct {
	Given         bool // there are words at all
	Understood    bool // a known licence or phrase is among them
	NonCommercial bool
	NoDerivatives bool // not to be changed, as every take of an instrument is
	ShareAlike    bool // what is made of it bears the same licence
	Reserved      bool // for private use at most
}

var (
	// Creative Commons licences by their short names, as "CC BY-NC-SA 4.0" or "cc-by-nc-sa" (also those of SPDX).
	commonsPattern = regexp.MustCompile(`\bcc by((?: (?:nc|nd|sa))*)\b`)
	freePattern    = regexp.MustCompile(`\bcc ?0\b|\bcc zero\b|\bpublic domain\b|\bpdm\b`)
	attribution    = regexp.MustCompile(`\battribution\b`) // the long names of Creative Commons

	nonCommercialPattern = regexp.MustCompile(`\bnon ?commercial|\b(?:not?|never)(?: \w+){0,3} commercial|\bnot (?:for sale|to be sold)\b`)
	noDerivativesPattern = regexp.MustCompile(`\bno ?deriv|\bnot (?:to )?be (?:changed|altered|edited)\b|\bunchanged only\b`)
	shareAlikePattern    = regexp.MustCompile(`\bshare ?alike\b`)
	reservedPattern      = regexp.MustCompile(`\ball rights reserved\b|\b(?:private|personal) use only\b|\bonly for (?:private|personal) use\b|\bnot (?:to )?be (?:shared|published)\b|\bno consent\b|\brefused\b`)

	noObjection = regexp.MustCompile(`\bno (?:objections?|problems?|restrictions?|limits?)\b`) // which allows
	separators  = regexp.MustCompile(`[^\p{L}\p{N}]+`)
)

// ReadTerms reads a consent.
func ReadTerms(consent string) Terms {
	words := strings.TrimSpace(separators.ReplaceAllString(strings.ToLower(consent), " "))
	words = noObjection.ReplaceAllString(words, "")
	t := Terms{Given: strings.TrimSpace(consent) != ""}
	if commons := commonsPattern.FindStringSubmatch(words); commons != nil {
		t.Understood = true
		t.NonCommercial, t.NoDerivatives, t.ShareAlike = strings.Contains(commons[1], "nc"), strings.Contains(commons[1], "nd"), strings.Contains(commons[1], "sa")
	}
	for _, phrase := range []struct {
		pattern *regexp.Regexp
		found   *bool
	}{
		{nonCommercialPattern, &t.NonCommercial}, {noDerivativesPattern, &t.NoDerivatives},
		{shareAlikePattern, &t.ShareAlike}, {reservedPattern, &t.Reserved},
	} {
		if phrase.pattern.MatchString(words) {
			*phrase.found, t.Understood = true, true
		}
	}
	t.Understood = t.Understood || freePattern.MatchString(words) || attribution.MatchString(words)
	return t
}

// Forbids tells why the terms forbid a use; "" where they do not, as far as they were understood. Whoever gave no
// consent has allowed nothing beyond private use.
func (t Terms) Forbids(use Use) string {
	switch {
	case use != ForCommercial && use != ForSharing:
		return ""
	case !t.Given:
		return "no licence or consent is noted"
	case t.Reserved:
		return "for private use at most"
	case t.NoDerivatives:
		return "not to be changed, and an instrument changes it"
	case t.NonCommercial && use == ForCommercial:
		return "not for commercial use"
	}
	return ""
}

// String tells the terms in a few words.
func (t Terms) String() string {
	switch {
	case !t.Given:
		return "none noted"
	case !t.Understood:
		return "read the words"
	}
	var words []string
	for _, term := range []struct {
		holds bool
		word  string
	}{{t.Reserved, "private use at most"}, {t.NonCommercial, "not commercial"}, {t.NoDerivatives, "not to be changed"}, {t.ShareAlike, "share alike"}} {
		if term.holds {
			words = append(words, term.word)
		}
	}
	if words == nil {
		return "free to use"
	}
	return strings.Join(words, ", ")
}

// Forbidden lists what stands against a use, a line for each take and for each bed of which nobody knows what it holds.
func (c *Credits) Forbidden(use Use) (lines []string) {
	for i := range c.Takes {
		t := &c.Takes[i]
		switch why := t.Terms.Forbids(use); {
		case why == "":
		case t.NoRow:
			lines = append(lines, fmt.Sprintf("%s (%s): the take sheet has no row for it any more, so no consent is known", t.Path, t.Name()))
		case t.Consent == "":
			lines = append(lines, fmt.Sprintf("%s (%s): %s", t.Path, t.Name(), why))
		default:
			lines = append(lines, fmt.Sprintf("%s (%s): %q: %s", t.Path, t.Name(), t.Consent, why))
		}
	}
	if use == ForCommercial || use == ForSharing {
		for _, bed := range c.Unknown {
			lines = append(lines, bed+": no ledger tells whose takes it holds")
		}
	}
	return lines
}
