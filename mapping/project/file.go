// Reading and writing lapstrake.toml.

package project

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"lapstrake/mapping/placed"
	"lapstrake/mapping/whole"
)

// settingsMostBytes bounds what is read: a larger file is not one of settings.
const settingsMostBytes = 1 << 20

// Load reads the settings of the project folder dir; without a file they are the defaults. An error tells
// every problem with its line.
func Load(dir string) (Settings, error) {
	path := filepath.Join(dir, SettingsFile)
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return Default(), nil
	}
	if err != nil {
		return Settings{}, err
	}
	if !info.Mode().IsRegular() || info.Size() > settingsMostBytes {
		return Settings{}, fmt.Errorf("%s: expected a text file of settings of at most %d kB", path,
			settingsMostBytes>>10)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return Settings{}, err
	}
	return Parse(data, path)
}

// Parse reads settings from data; what it does not mention has its default. name stands for the file in errors, which
// tell every problem with its line.
func Parse(data []byte, name string) (Settings, error) {
	document, err := placed.Read(data, name)
	if err != nil {
		return Settings{}, err
	}
	s := Default()
	problems := document.Decode(&s, placed.Words{Unknown: unknownSetting, Expected: expectedOf})
	if err := document.Errors(placed.Unread(problems, s.problems())); err != nil {
		return Settings{}, err
	}
	return s, nil
}

// Encode returns the settings as the text of a lapstrake.toml, each with a comment that tells its meaning, unit and
// range.
func (s *Settings) Encode() ([]byte, error) {
	var plain bytes.Buffer
	encoder := toml.NewEncoder(&plain)
	encoder.SetIndentTables(false)
	if err := encoder.Encode(s); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	out.WriteString("# The settings of a lapstrake project. A line that is taken away gets its default.\n\n")
	section := ""
	for line := range strings.Lines(plain.String()) {
		field := ""
		if strings.HasPrefix(line, "[") {
			section = strings.Trim(line, "[]\n")
			field = section
		} else if key, _, isKey := strings.Cut(line, " = "); isKey {
			field = section + "." + key
		}
		if rule, found := ruleOf(field); found {
			fmt.Fprintf(&out, "# %s\n", rule.comment())
		}
		out.WriteString(line)
	}
	return out.Bytes(), nil
}

// Save writes the settings into the project folder dir, whole or not at all.
func (s *Settings) Save(dir string) error {
	path := filepath.Join(dir, SettingsFile)
	if err := s.Check(); err != nil {
		return fmt.Errorf("%s: not written: %w", path, err)
	}
	data, err := s.Encode()
	if err != nil {
		return fmt.Errorf("%s: not written: %w", path, err)
	}
	return whole.Write(path, data)
}
