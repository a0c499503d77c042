// Package terms knows what may be done with a take: a closed list that the builder decides by. The list holds the
// Creative Commons licences by their SPDX identifiers (spdx.org/licenses), and what a builder agrees with people.
// Package terms is no advice in law.
package terms

import (
	"fmt"
	"slices"
	"strings"
)

// Terms are what a contributor allows. "" is open.
type Terms string

// The terms beside the licences.
const (
	AgreedPrivate    Terms = "agreed-private"    // for the builder's own use
	AgreedSharing    Terms = "agreed-sharing"    // may be given away in the instrument
	AgreedCommercial Terms = "agreed-commercial" // may be sold in the instrument
	Refused          Terms = "refused"           // never sounds anywhere
	Asked            Terms = "asked"             // not answered yet: open

	PublicDomain Terms = "CC0-1.0"
)

// Use is what an export is meant for.
type Use string

// The uses: sold; given away; kept to oneself. "" is not said.
const (
	ForCommercial Use = "commercial"
	ForSharing    Use = "sharing"
	ForPrivate    Use = "private"
)

// ParseUse reads a use; "" is one.
func ParseUse(word string) (Use, error) {
	switch use := Use(word); use {
	case "", ForCommercial, ForSharing, ForPrivate:
		return use, nil
	}
	return "", fmt.Errorf("%q: expected %s, %s or %s", word, ForCommercial, ForSharing, ForPrivate)
}

// licenceKinds and licenceVersions make up the licences of Creative Commons that ask for a name.
var (
	licenceKinds    = []string{"BY", "BY-SA", "BY-NC", "BY-ND", "BY-NC-SA", "BY-NC-ND"}
	licenceVersions = []string{"4.0", "3.0", "2.5", "2.0", "1.0"}
)

// All lists all terms, licences first.
func All() []Terms {
	all := []Terms{PublicDomain}
	for _, version := range licenceVersions {
		for _, kind := range licenceKinds {
			all = append(all, Terms("CC-"+kind+"-"+version))
		}
	}
	return append(all, AgreedPrivate, AgreedSharing, AgreedCommercial, Refused, Asked)
}

// Parse reads terms in small or capital letters; nothing is open.
func Parse(cell string) (Terms, error) {
	cell = strings.TrimSpace(cell)
	if cell == "" {
		return "", nil
	}
	all := All()
	at := slices.IndexFunc(all, func(t Terms) bool { return strings.EqualFold(string(t), cell) })
	if at < 0 {
		return "", fmt.Errorf("%s, %s, %s, %s, %s, %s, the SPDX identifier of a Creative Commons licence such as "+
			"CC-BY-4.0 or CC-BY-NC-SA-3.0, or nothing as long as it is open",
			AgreedPrivate, AgreedSharing, AgreedCommercial, Refused, Asked, PublicDomain)
	}
	return all[at], nil
}

// Open says that the contributor has not answered, as far as the builder says.
func (t Terms) Open() bool { return t == "" || t == Asked }

// AsksForName says that the licence asks for the maker's name wherever the sound goes.
func (t Terms) AsksForName() bool { return strings.HasPrefix(string(t), "CC-BY") }

// NonCommercial says that the licence does not allow commercial use.
func (t Terms) NonCommercial() bool { return t.part("NC") }

// NoDerivatives says that the licence does not allow to share what is made of it, as every instrument is.
func (t Terms) NoDerivatives() bool { return t.part("ND") }

// ShareAlike says that what is made of it bears the same licence.
func (t Terms) ShareAlike() bool { return t.part("SA") }

func (t Terms) part(part string) bool {
	return t.AsksForName() && slices.Contains(strings.Split(string(t), "-"), part)
}

// Forbids says why the terms do not allow a use: "" where they do. Open terms allow private use alone.
func (t Terms) Forbids(use Use) string {
	outward := use == ForCommercial || use == ForSharing
	switch {
	case t == Refused:
		return "refused"
	case !outward:
		return ""
	case t.Open():
		return "its terms are open"
	case t == AgreedPrivate:
		return "agreed for private use only"
	case t.NoDerivatives():
		return "what is made of it may not be shared, and an instrument is made of it"
	case use == ForCommercial && t == AgreedSharing:
		return "agreed for sharing, not for commercial use"
	case use == ForCommercial && t.NonCommercial():
		return "not for commercial use"
	}
	return ""
}
