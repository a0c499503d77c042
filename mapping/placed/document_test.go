package placed

import (
	"fmt"
	"strings"
	"testing"
)

type inventory struct {
	Yard  string `toml:"yard"`
	Slip  slip   `toml:"slip"`
	Boats []boat `toml:"boats"`
}

type slip struct {
	LengthM float64 `toml:"length_m"`
	Ropes   []int   `toml:"ropes"`
}

type boat struct {
	Name  string `toml:"name"`
	Masts int    `toml:"masts"`
}

func words(into any) Words {
	return Words{
		Unknown:  func(string) string { return "no such field" },
		Expected: func(field string) string { return TypeOf(into, field) },
	}
}

const wrong = `yard = 3
[slip]
length_m = "long"
keel = true
ropes = [1,
  "two"]

[[boats]]
name = "ebb"
[[boats]]
name = "flood"
masts = 1.5
oars = 2
`

// Every problem is found in one go, each where it stands.
func TestAllProblemsHaveTheirLines(t *testing.T) {
	var into inventory
	d, err := Read([]byte(wrong), "yard.toml")
	if err != nil {
		t.Fatal(err)
	}
	problems := d.Decode(&into, words(&into))
	got := d.Errors(problems).Error()
	for _, want := range []string{
		"yard.toml:1: yard: found 3: expected a text in quotes",
		`yard.toml:3: slip.length_m: found "long": expected a number`,
		"yard.toml:4: slip.keel: no such field",
		"yard.toml:5: slip.ropes: found [1,: expected a list of numbers, such as [0, 0.5]",
		"yard.toml:12: boats[1].masts: found 1.5: expected a whole number",
		"yard.toml:13: boats[1].oars: no such field",
	} {
		if !strings.Contains(got+"\n", want+"\n") {
			t.Errorf("missing: %s", want)
		}
	}
	if n := strings.Count(got, "\n") + 1; n != 6 {
		t.Errorf("%d problems, want 6:\n%s", n, got)
	}
	if len(into.Boats) != 2 || into.Boats[1].Name != "flood" {
		t.Errorf("what is right was not read: %+v", into)
	}
}

func TestWhatIsNoTOMLHasLineAndColumn(t *testing.T) {
	for text, want := range map[string]string{
		"a = = 1":      "x:1:5: ",
		"a = 1\na = 2": "x:2:",
		"[boats":       "x:1:",
	} {
		if _, err := Read([]byte(text), "x"); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}

func FuzzDecode(f *testing.F) {
	f.Add([]byte(wrong))
	f.Add([]byte("\ufeffyard = 'a'\r\n"))
	f.Add([]byte("boats = [{name = 1}, {masts = 'x'}]"))
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := Read(data, "x")
		if err != nil {
			return
		}
		var into inventory
		problems := d.Decode(&into, words(&into))
		if err := d.Errors(problems); (err == nil) != (len(problems) == 0) {
			t.Fatalf("%d problems, error %v", len(problems), err)
		}
	})
}

func ExampleDocument() {
	var yard struct {
		Slips int `toml:"slips"`
	}
	d, err := Read([]byte("# The yard.\nslips = \"two\"\n"), "yard.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	problems := d.Decode(&yard, Words{Expected: func(field string) string { return TypeOf(&yard, field) }})
	fmt.Println(d.Errors(problems))
	// Output: yard.toml:2: slips: found "two": expected a whole number
}
