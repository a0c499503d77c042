package check_test

import (
	"bytes"
	"encoding/json"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"lapstrake/engine/check"
	"lapstrake/mapping"
)

// Reports and comparisons as JSON follow the schema, by a general validator of JSON Schema 2020-12, and it refuses
// broken ones.
func TestJSONFollowsItsSchema(t *testing.T) {
	schema := compiled(t)
	before, y := soundYard(21).check(t), faultyYard(21)
	in := y.open(t)
	in.Waivers = []check.Waiver{{ID: "mono_loss_db:*", Reason: "it is played in stereo"}}
	now := run(t, in)
	for name, document := range map[string]any{
		"sound": before, "faulty": now, "compared": check.Compare(before, now), "and back": check.Compare(now, before),
		"nothing in common": check.Compare(&check.Report{}, now),
	} {
		if err := schema.Validate(parsed(t, asJSON(t, document))); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	text := string(asJSON(t, now))
	for _, part := range []string{`"waived":`, `"dynamics":`, `"rank":`, `"bed":`, `"chord":`} {
		if !strings.Contains(text, part) {
			t.Errorf("no %s in the report: the schema is not tried on it", part)
		}
	}
	for _, broken := range [][2]string{
		{`"version":1`, `"version":2`}, {`"verdict":"fails"`, `"verdict":"bad"`}, {`"sure":1`, `"sure":100`},
		{`"better":`, `"Better":`}, {`"keys":[`, `"keys":[128,`}, {`"cure":"`, `"cures":"`},
		{`"name":"seams"`, `"name":"Seams"`},
	} {
		other := strings.Replace(text, broken[0], broken[1], 1)
		if other == text {
			t.Fatalf("no %s in the report", broken[0])
		}
		if schema.Validate(parsed(t, []byte(other))) == nil {
			t.Errorf("the schema allows %s", broken[1])
		}
	}
}

// A bed of silence has no bound to how far it is below the others; the report says so, and is JSON all the same.
func TestSilenceIsReported(t *testing.T) {
	y := soundYard(22)
	clear(y.beds[y.names()[0]])
	clear(y.beds[mapping.BedName{Layer: "loud", Strand: "b", Root: y.names()[0].Root}])
	report := y.check(t)
	if err := compiled(t).Validate(parsed(t, asJSON(t, report))); err != nil {
		t.Error(err)
	}
	if found := findings(report, "bed_lu"); len(found) == 0 || found[0].Figure != 999 ||
		found[0].Verdict != check.Fails {
		t.Errorf("two beds are silent: %+v", found)
	}
}

// Every field that a report may have as JSON stands in the schema, those too that no report of the tests has.
func TestSchemaKnowsEveryField(t *testing.T) {
	known := map[string]bool{}
	for _, field := range regexp.MustCompile(`"([$a-z_]+)": *\{`).FindAllSubmatch(check.Schema, -1) {
		known[string(field[1])] = true
	}
	seen := map[reflect.Type]bool{}
	var walk func(of reflect.Type)
	walk = func(of reflect.Type) {
		switch of.Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Map:
			walk(of.Elem())
		case reflect.Struct:
			for i := 0; i < of.NumField() && !seen[of]; i++ {
				field := of.Field(i)
				name, _, _ := strings.Cut(field.Tag.Get("json"), ",")
				if name == "-" || !field.IsExported() {
					continue
				}
				if !known[name] && !field.Anonymous {
					t.Errorf("%s of %v is not in report.schema.json", name, of)
				}
				walk(field.Type)
			}
			seen[of] = true
		}
	}
	walk(reflect.TypeFor[check.Report]())
	walk(reflect.TypeFor[check.Comparison]())
	if len(seen) < 8 {
		t.Errorf("only %d types were looked at", len(seen))
	}
}

func compiled(t *testing.T) *jsonschema.Schema {
	t.Helper()
	compiler := jsonschema.NewCompiler()
	if err := compiler.AddResource("report.schema.json", parsed(t, check.Schema)); err != nil {
		t.Fatal(err)
	}
	schema, err := compiler.Compile("report.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return schema
}

func parsed(t *testing.T, data []byte) any {
	t.Helper()
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return document
}

func asJSON(t *testing.T, document any) []byte {
	t.Helper()
	data, err := json.Marshal(document)
	if err != nil {
		t.Fatal(err)
	}
	return data
}
