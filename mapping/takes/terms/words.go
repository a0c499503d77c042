// What the words of a consent seem to allow: a help in reading, which decides nothing.

package terms

import (
	"regexp"
	"strings"
)

// Words are what is understood of a consent, which a builder notes in words of their own. They suggest terms and warn;
// the builder decides. What could be a refusal counts as one, unless a note says "agreed: commercial" or "agreed:
// sharing".
type Words struct {
	Given         bool // there are words, and they do not say that there is no consent
	Understood    bool // a known licence or phrase is among them
	Agreed        Use  // what the builder notes as agreed, whatever else is said
	NonCommercial bool
	NoDerivatives bool // not to be changed, as every take of an instrument is
	ShareAlike    bool // what is made of it bears the same licence
	Reserved      bool // for private use at most
	Doubtful      bool // some refusal or condition that is not understood
}

var (
	// How people note that there is no consent, or none yet.
	withoutConsent = regexp.MustCompile(`^(?:no|none|n a|na|nil|nothing|not (?:yet|asked|granted|given|` +
		`signed)|asked|to ask|pending|waiting|open|tbd|todo|unknown|unclear|` +
		`withdrawn|revoked|denied|declined|refused|(?:no|without|missing) (?:permission|consent|licen[cs]e|` +
		`answer|reply)(?: yet)?)?$`)

	// Creative Commons licences by their short names, such as "CC BY-NC-SA 4.0", "cc-by-nc" (also those of SPDX),
	// "BY-NCSA", and by their addresses, "…/licenses/by-nc/4.0/". A plain BY needs a word beside it that makes it a
	// licence.
	plainCommons   = regexp.MustCompile(`\b(?:cc|commons|licen[cs]es?) ?by\b`)
	commonsPattern = regexp.MustCompile(`\bby(?: ?(?:nc|nd|sa)\d*)+\b|\b(?:nc|nd)\d*\b`)
	commonsParts   = regexp.MustCompile(`nc|nd|sa`)
	freePattern    = regexp.MustCompile(`\bcc ?0\b|\bcc zero\b|\bpublic ?domain(?: (?:zero|mark))?\b`)
	attribution    = regexp.MustCompile(`\battribution\b`) // the long names of Creative Commons
	shareAlike     = regexp.MustCompile(`\bshare ?alike\b`)
	// Phrases with the words of a refusal that refuse nothing.
	allowances = regexp.MustCompile(`\b(?:no|without) (?:any )?(?:credit|attribution|fee|charge|payment|` +
		`royalt\w+|objections?|problems?|restrictions?|limits?|conditions?|strings|questions|rights|changes?|` +
		`need)` +
		`(?: (?:is|are))?(?: (?:needed|required|asked|attached|necessary|reserved))?\b|` +
		`\bcommercial(?:ly)? (?:and|or|as well as) (?:non ?commercial|private|personal)(?:ly)?\b|` +
		`\b(?:private|personal)(?:ly)? (?:and|or|as well as) commercial(?:ly)?\b|\bnot (?:only|restricted|` +
		`limited)\b|\bnothing against\b|\bpersonally\b|` +
		`\b(?:attribution|credits?)(?: (?:is|are))? (?:required|requested|needed)\b`)
	longRestrictions = regexp.MustCompile(`\bnon ?com\w*(?: use| purposes?)?(?: only)?|\bcommercial free\b|` +
		`\bno ?deriv\w*`)

	refusals = regexp.MustCompile(`\b(?:no|not|non|never|nor|neither|nobody|nothing|none|without|except\w*|` +
		`exclud\w*|only|solely|exclusively|forbid\w*|forbade|prohibit\w*|disallow\w*|ban|bann\w+|barr\w+|` +
		`refus\w*|den(?:y|ied)|declin\w*|revok\w*|withdr\w*|reserv\w*|restrict\w*|limited|out|but|save|` +
		`apart from|other than|cannot|` +
		`(?:is|are|was|were|has|have|had|do|does|did|would|should|could|may|must|can|ca|sha|wo|need)n? ?n ?t|` +
		`can ?t|shan ?t|won ?t)\b`)
	// Words that make an answer depend on something, or say that it is still to come.
	conditions = regexp.MustCompile(`\b(?:if|unless|until|when|once|before|after|provided|ask\w*|await\w*|` +
		`wait\w*|pending|request\w*|requir\w*|subject to|depend\w*|written|permission|unclear|uncleared|` +
		`doubt\w*|expir\w*|confidential|unknown)\b`)
	permissions = regexp.MustCompile(`\b(?:allow\w*|ok|okay|fine|welcome|permitted|grant\w*|yes|free|any|all|` +
		`sold)\b`)

	aboutSelling  = regexp.MustCompile(`\bcommerc\w*|\bse?old\b|\bsell\w*|\bsale\b|\bprofit\w*|\bmoney\b|\bpaid\b`)
	aboutChanging = regexp.MustCompile(`\bderiv\w*|\b(?:un)?chang\w*|\b(?:un)?alter\w*|\b(?:un)?edit\w*|` +
		`\bmodif\w*|\bremix\w*|\badapt\w*`)
	aboutSharing = regexp.MustCompile(`\bshar\w*|\b(?:re)?distribut\w*|\bpublish\w*|\bpublic\b|` +
		`\bpass\w* on\b|\brights\b|\belse\b`)
	aboutPrivate = regexp.MustCompile(`\bprivate\w*|\bpersonal\w*`)

	items      = regexp.MustCompile(`[.,;\n]+`)
	clauses    = regexp.MustCompile(`[.,;!?()\n]+|\band\b`)
	separators = regexp.MustCompile(`[^\p{L}\p{N}:.,;!?()\n]+|\b[.]\b`) // a point within a number ends nothing
	squash     = regexp.MustCompile(`[^\p{L}\p{N}]+`)
)

// Read reads a consent.
func Read(consent string) Words {
	var t Words
	text := t.readAgreed(strings.ToLower(consent))
	words := strings.TrimSpace(squash.ReplaceAllString(text, " "))
	t.Given = t.Agreed != "" || !withoutConsent.MatchString(words)
	t.Doubtful = t.Given && strings.Contains(text, "?")
	t.readLicences(words)
	text = separators.ReplaceAllString(text, " ")
	for _, known := range []*regexp.Regexp{allowances, longRestrictions, freePattern, shareAlike} {
		if known.MatchString(text) {
			t.Understood = t.Understood || known != longRestrictions
			text = known.ReplaceAllString(text, " ")
		}
	}
	for _, clause := range clauses.Split(text, -1) {
		t.readClause(strings.TrimSpace(clause))
	}
	return t
}

// readAgreed takes the builder's own notes out of the text and keeps the widest. A note stands alone between commas,
// semicolons, points or line ends.
func (t *Words) readAgreed(text string) string {
	var rest []string
	for _, item := range items.Split(text, -1) {
		switch strings.Join(strings.Fields(strings.Replace(item, ":", ": ", 1)), " ") {
		case "agreed: commercial":
			t.Agreed = ForCommercial
		case "agreed: sharing":
			if t.Agreed == "" {
				t.Agreed = ForSharing
			}
		default:
			rest = append(rest, item)
		}
	}
	if t.Agreed == "" {
		return text
	}
	return strings.Join(rest, ", ")
}

// readLicences finds licences by their names. Where there are several, the restrictions of all of them hold.
func (t *Words) readLicences(words string) {
	restrict := func(parts string) {
		t.Understood = true
		for _, part := range commonsParts.FindAllString(parts, -1) {
			t.NonCommercial = t.NonCommercial || part == "nc"
			t.NoDerivatives = t.NoDerivatives || part == "nd"
			t.ShareAlike = t.ShareAlike || part == "sa"
		}
	}
	for _, licence := range commonsPattern.FindAllString(words, -1) {
		restrict(licence)
	}
	if shareAlike.MatchString(words) {
		restrict("sa")
	}
	for _, long := range longRestrictions.FindAllString(allowances.ReplaceAllString(words, " "), -1) {
		restrict(map[bool]string{true: "nc", false: "nd"}[strings.Contains(long, "com")])
	}
	t.Understood = t.Understood ||
		plainCommons.MatchString(words) || freePattern.MatchString(words) || attribution.MatchString(words)
}

// readClause reads what is not the name of a licence.
func (t *Words) readClause(clause string) {
	if conditions.MatchString(clause) || clause != "" && withoutConsent.MatchString(clause) {
		t.Doubtful = true
	}
	refused := refusals.MatchString(clause)
	selling := aboutSelling.MatchString(clause)
	switch private := aboutPrivate.MatchString(clause); {
	case !refused && !private:
		t.Understood = t.Understood || selling && permissions.MatchString(clause)
	case private:
		t.Reserved, t.Understood = true, true
	case selling:
		t.NonCommercial, t.Understood = true, true
	case aboutChanging.MatchString(clause):
		t.NoDerivatives, t.Understood = true, true
	case aboutSharing.MatchString(clause):
		t.Reserved, t.Understood = true, true
	default:
		t.Doubtful = true
	}
}

// Forbids says why the words seem to forbid a use. It returns "" where they do not, as far as they were understood. No
// consent allows private use only.
func (t Words) Forbids(use Use) string {
	switch {
	case use != ForCommercial && use != ForSharing, t.Agreed == ForCommercial, t.Agreed == use:
		return ""
	case !t.Given:
		return "no licence or consent is noted"
	case t.Reserved:
		return "for private use at most"
	case t.NoDerivatives:
		return "not to be changed, and an instrument changes it"
	case t.NonCommercial && use == ForCommercial:
		return "not for commercial use"
	case t.Doubtful:
		return "some refusal or condition that is not understood"
	}
	return ""
}
