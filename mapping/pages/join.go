// Join: modules as one classic script, for pages that are opened as files: browsers let those read no modules.

package pages

import (
	"bytes"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"strings"
)

var (
	importing = regexp.MustCompile(`(?m)^import \{([^}]*)\} from "(\.[^"]+)";\n`)
	exporting = regexp.MustCompile(`(?m)^export ((?:async )?function\*?|class|const) (\w+)`)
	neither   = regexp.MustCompile(`(?m)^(?:import|export)\b.*`)
)

// Join makes one script of a module of the web files and of all that it imports. It knows the forms of import and
// export that our modules have: names in braces from a file, exported functions, classes and constants. Any other is
// an error.
func Join(module string) ([]byte, error) {
	j := joiner{files: Web(), joined: map[string]bool{}}
	j.out.WriteString("(() => {\n\"use strict\";\nconst modules = {};\n")
	if err := j.join(module); err != nil {
		return nil, err
	}
	j.out.WriteString("})();\n")
	return j.out.Bytes(), nil
}

type joiner struct {
	files  fs.FS
	joined map[string]bool
	out    bytes.Buffer
}

// join writes a module after those that it imports.
func (j *joiner) join(module string) error {
	if j.joined[module] {
		return nil
	}
	j.joined[module] = true
	data, err := fs.ReadFile(j.files, module)
	if err != nil {
		return err
	}
	text := string(data)
	var imports strings.Builder
	for _, found := range importing.FindAllStringSubmatch(text, -1) {
		from := path.Join(path.Dir(module), found[2])
		if err := j.join(from); err != nil {
			return err
		}
		fmt.Fprintf(&imports, "const {%s} = modules[%q];\n", found[1], from)
	}
	text = importing.ReplaceAllString(text, "")
	var exported []string
	for _, found := range exporting.FindAllStringSubmatch(text, -1) {
		exported = append(exported, found[2])
	}
	text = exporting.ReplaceAllString(text, "$1 $2")
	text = strings.ReplaceAll(text, "\nexport {};\n", "\n") // of a module of types alone
	if other := neither.FindString(text); other != "" {
		return fmt.Errorf("%s: found %q, expected names in braces to be imported, and functions, classes and "+
			"constants to be exported", module, other)
	}
	fmt.Fprintf(&j.out, "modules[%q] = (() => {\n%s%s\nreturn { %s };\n})();\n", module, imports.String(), text,
		strings.Join(exported, ", "))
	return nil
}
