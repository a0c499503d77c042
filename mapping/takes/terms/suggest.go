// Terms suggested from the words of a consent.

package terms

import (
	"regexp"
	"slices"
	"strings"
)

var (
	licenceName = regexp.MustCompile(`(?i)\b(?:cc|creative commons|licen[cs]es?)[ -/]*` +
		`(by(?:[ -/]*(?:nc|nd|sa))*)\b[^0-9]{0,16}([1-4]\.[05])?`)
	licenceNothing = regexp.MustCompile(`(?i)\bcc[ -]?(?:0|zero)\b|publicdomain/zero`)
	licenceDashes  = strings.NewReplacer("\u2010", "-", "\u2011", "-", "\u2013", "-")
	licencePart    = regexp.MustCompile(`(?i)by|nc|nd|sa`)
	saysRefused    = regexp.MustCompile(`(?i)^\W*(?:withdrawn|revoked|denied|declined|refused)\W*$`)
	saysAsked      = regexp.MustCompile(`(?i)^\W*(?:asked|pending|waiting|no (?:answer|reply)(?: yet)?)\W*$`)
)

// Suggest gives the terms that the words of a consent seem to mean, for the builder to take or not. It is "" where the
// words are doubtful, of several licences, or not understood. A licence without a version is taken for the latest.
func Suggest(consent string) Terms {
	words := Read(consent)
	switch {
	case saysRefused.MatchString(consent):
		return Refused
	case saysAsked.MatchString(consent):
		return Asked
	case words.Agreed == ForCommercial:
		return AgreedCommercial
	case words.Agreed == ForSharing:
		return AgreedSharing
	case !words.Given || words.Doubtful:
		return ""
	}
	if licence, named := namedLicence(consent); named {
		if licence.NonCommercial() != words.NonCommercial || licence.NoDerivatives() != words.NoDerivatives ||
			words.Reserved {
			return "" // the other words say something else
		}
		return licence
	}
	switch {
	case !words.Understood || words.NoDerivatives || words.ShareAlike:
		return ""
	case words.Reserved:
		return AgreedPrivate
	case words.NonCommercial:
		return AgreedSharing
	case aboutSelling.MatchString(strings.ToLower(consent)):
		return AgreedCommercial
	}
	return ""
}

// namedLicence finds the one licence that a consent names; "" where it names several.
func namedLicence(consent string) (licence Terms, named bool) {
	var found []Terms
	if licenceNothing.MatchString(consent) {
		found = append(found, PublicDomain)
	}
	for _, match := range licenceName.FindAllStringSubmatch(licenceDashes.Replace(consent), -1) {
		parts := licencePart.FindAllString(strings.ToUpper(match[1]), -1)
		version := match[2]
		if version == "" {
			version = licenceVersions[0]
		}
		known, err := Parse("CC-" + strings.Join(parts, "-") + "-" + version)
		if err != nil {
			known = "" // such as BY-SA-NC
		}
		found = append(found, known)
	}
	found = slices.Compact(found)
	if len(found) != 1 {
		return "", len(found) > 0
	}
	return found[0], true
}
