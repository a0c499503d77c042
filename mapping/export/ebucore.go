// Whose sounds are in a file, as a document by EBU Core (EBU Tech 3293), which WAV files hold in an axml chunk.

package export

import (
	"encoding/xml"

	"lapstrake/mapping/export/credits"
)

// ebuCore is the document. Its elements stand in the order of the published schema (ebucore.xsd), ebuCoreMain to
// rightsType.
type ebuCore struct {
	XMLName     xml.Name    `xml:"urn:ebu:metadata-schema:ebucore ebuCoreMain"`
	DublinCore  string      `xml:"xmlns:dc,attr"`
	Title       string      `xml:"coreMetadata>title>dc:title"`
	Creators    []ebuEntity `xml:"coreMetadata>creator"`
	Description string      `xml:"coreMetadata>description>dc:description"`
	Contributor []ebuEntity `xml:"coreMetadata>contributor"`
	Rights      []ebuRights `xml:"coreMetadata>rights"`
}

// ebuEntity is a person or a group.
type ebuEntity struct {
	Name string `xml:"contactDetails>name"`
}

// ebuRights are what one contributor allows for a recording.
type ebuRights struct {
	Note   string `xml:"note,attr"` // the contributor and the recording
	Rights string `xml:"dc:rights"`
}

// ebuCoreOf is the document of an item's file; "" where nobody is known.
func (j *Job) ebuCoreOf(i *Item) (string, error) {
	takes := j.takesIn(i)
	if takes == nil {
		return "", nil
	}
	core := ebuCore{DublinCore: "http://purl.org/dc/elements/1.1/", Title: j.itemTitle(i), Description: j.describe(i)}
	if j.Artist != "" {
		core.Creators = []ebuEntity{{j.Artist}}
	}
	for _, name := range credits.NamesOf(takes) {
		core.Contributor = append(core.Contributor, ebuEntity{name})
	}
	for _, take := range takes {
		core.Rights = append(core.Rights, ebuRights{take.Name() + ": " + take.TitleText(), take.TermsText()})
	}
	document, err := xml.MarshalIndent(core, "", " ")
	return xml.Header + string(document) + "\n", err
}
