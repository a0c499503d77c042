package pages

import (
	"strings"
	"testing"
	"testing/fstest"
)

// What is joined holds each module once, after those that it imports, and no word that only modules may have.
func TestJoin(t *testing.T) {
	for _, module := range []string{"alone/main.js", "alone/processor.js"} {
		script, err := Join(module)
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(string(script), "\n") {
			if strings.HasPrefix(line, "import ") || strings.HasPrefix(line, "export ") {
				t.Errorf("%s: a script cannot hold %q", module, line)
			}
		}
		if n := strings.Count(string(script), `modules["alone/kernel.js"] = `); n != 1 {
			t.Errorf("%s: the kernel stands in it %d times, want once", module, n)
		}
	}
}

func TestJoinRefusesOtherForms(t *testing.T) {
	for _, line := range []string{`import all from "./b.js";`, `export default 1;`, `import "./b.js";`,
		`export * from "./b.js";`} {
		j := joiner{files: fstest.MapFS{"a.js": {Data: []byte(line + "\n")}}, joined: map[string]bool{}}
		if err := j.join("a.js"); err == nil || !strings.Contains(err.Error(), "a.js") {
			t.Errorf("%s: got %v, want an error that names the file", line, err)
		}
	}
}
