package export

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping/export/credits"
	"lapstrake/mapping/wav"
)

const ebuNamespace, dublinCore = "urn:ebu:metadata-schema:ebucore", "http://purl.org/dc/elements/1.1/"

// ebuElements are the elements that each element may hold, in the order of the published schema, as far as files use
// them (ebucore.xsd of EBU Core, EBU Tech 3293: ebuCoreMainType, coreMetadataType, titleType, descriptionType,
// entityType, contactDetailsType, rightsType; Dublin Core's own in their namespace).
var ebuElements = map[string][]string{
	"":            {ebuNamespace + " ebuCoreMain"},
	"ebuCoreMain": {ebuNamespace + " coreMetadata"},
	"coreMetadata": {ebuNamespace + " title", ebuNamespace + " creator", ebuNamespace + " description",
		ebuNamespace + " contributor", ebuNamespace + " rights"},
	"title":          {dublinCore + " title"},
	"description":    {dublinCore + " description"},
	"creator":        {ebuNamespace + " contactDetails"},
	"contributor":    {ebuNamespace + " contactDetails"},
	"contactDetails": {ebuNamespace + " name"},
	"rights":         {dublinCore + " rights"},
}

// Each WAV file lists the contributors that sound in it, by EBU Core: well-formed whatever their names, with the
// elements of the published schema in its order. A file in which nobody is known holds no such chunk.
func TestContributorsByEBUCore(t *testing.T) {
	j := yard(t, func(j *Job) {
		j.Parts = Parts{WAV}
		j.Credits = &credits.Credits{Takes: []credits.Take{
			{Path: "ama/mug.wav", Credit: `Ama & "Øst" <yard>`, Title: "A mug", Consent: "as you like",
				Terms: "CC0-1.0", Places: []credits.Place{{Bed: "beds/soft-a-k036.wav"}}},
			{Path: "ama/oar.wav", Credit: `Ama & "Øst" <yard>`, Terms: "CC-BY-4.0",
				Places: []credits.Place{{Bed: "beds/soft-b-k036.wav"}}},
			{Path: "bo/rope.wav", Credit: "Bo\x01", Places: []credits.Place{{Bed: "beds/soft-b-k036.wav"}}},
			{Path: "cy/bell.wav", Credit: "Cy", Places: []credits.Place{{Bed: "beds/loud-a-k048.wav"}}},
		}}
	})
	out, _ := written(t, j)
	items := itemsOf(t, j)
	document := xmlOf(t, filepath.Join(out, fileIn(WAV, &items[0])))
	told := elementsOf(t, document)
	for element, want := range map[string][]string{
		"contributor/contactDetails/name": {`Ama & "Øst" <yard>`, "Bo\uFFFD"},
		"creator/contactDetails/name":     {"Neighbours"},
		"title/title":                     {"Yard: soft C2, rank C"},
		"rights/rights": {`CC0-1.0 ("as you like")`, "CC-BY-4.0: the name above goes wherever the sound goes",
			"terms are open"},
	} {
		if got := told["ebuCoreMain/coreMetadata/"+element]; !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q in\n%s", element, got, want, document)
		}
	}
	if other := xmlOf(t, filepath.Join(out, fileIn(WAV, &items[1]))); other != "" {
		t.Errorf("a file without known sounds holds %s", other)
	}
}

func xmlOf(t testing.TB, path string) string {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		t.Fatal(err)
	}
	labels, err := wav.ReadLabels(file, info.Size(), path)
	if err != nil {
		t.Fatal(err)
	}
	return labels.XML
}

// elementsOf gives the texts of a document's elements by their paths. Elements that the schema has not there, or in
// another order, are errors.
func elementsOf(t testing.TB, document string) map[string][]string {
	t.Helper()
	texts := map[string][]string{}
	path, last := []string{""}, []int{0}
	for decoder := xml.NewDecoder(strings.NewReader(document)); ; {
		token, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			return texts
		}
		if err != nil {
			t.Fatalf("%v in\n%s", err, document)
		}
		switch token := token.(type) {
		case xml.StartElement:
			depth := len(path) - 1
			at := slices.Index(ebuElements[path[depth]], token.Name.Space+" "+token.Name.Local)
			if at < last[depth] {
				t.Errorf("%s holds %v, which the schema has not there", path[depth], token.Name)
			}
			last[depth] = at
			path, last = append(path, token.Name.Local), append(last, 0)
		case xml.EndElement:
			path, last = path[:len(path)-1], last[:len(last)-1]
		case xml.CharData:
			if text := strings.TrimSpace(string(token)); text != "" {
				name := strings.Join(path[1:], "/")
				texts[name] = append(texts[name], text)
			}
		}
	}
}
