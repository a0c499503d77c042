// What was measured before: only what changed since is measured again.

package check

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/gob"
	"fmt"
	"os"
	"path/filepath"
	"sync"

	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/whole"
	"lapstrake/mapping/work"
)

// measuringVersion changes whenever a measure does.
const measuringVersion = 2

// cache keeps measures in a hidden folder of the project, each under a key of what was measured and how. A folder that
// cannot be written to keeps nothing, and all is measured each time.
type cache struct {
	dir  string
	mu   sync.Mutex
	used map[string]bool
}

func newCache(projectDir string) *cache {
	return &cache{dir: filepath.Join(projectDir, project.CheckedFolder), used: map[string]bool{}}
}

// cached gives a measure that was kept under key, or measures and keeps it.
func cached[T any](c *cache, key string, measure func() (T, error)) (T, error) {
	name := fmt.Sprintf("%x", sha256.Sum256(fmt.Appendf(nil, "%d %s", measuringVersion, key)))
	c.mu.Lock()
	c.used[name] = true
	c.mu.Unlock()
	path := filepath.Join(c.dir, name)
	if data, err := os.ReadFile(path); err == nil {
		var kept T
		if gob.NewDecoder(bytes.NewReader(data)).Decode(&kept) == nil {
			return kept, nil
		}
	}
	measured, err := measure()
	if err != nil {
		return measured, err
	}
	var data bytes.Buffer
	if gob.NewEncoder(&data).Encode(measured) == nil && os.MkdirAll(c.dir, 0o777) == nil {
		whole.Write(path, data.Bytes())
	}
	return measured, nil
}

// forget removes what this run did not use.
func (c *cache) forget() {
	entries, _ := os.ReadDir(c.dir)
	for _, entry := range entries {
		if name := entry.Name(); !c.used[name] && name != lastReport && name != ShownFile {
			os.Remove(filepath.Join(c.dir, entry.Name()))
		}
	}
}

// hashBeds gives the SHA-256 of every bed of the map, and of the map's file.
func (s *subject) hashBeds(ctx context.Context) (map[string]string, error) {
	paths := s.m.BedPaths()
	sums := make([]string, len(paths))
	err := work.Each(ctx, len(paths), func(_ context.Context, i int) (err error) {
		sums[i], err = decode.Hash(filepath.Join(filepath.Dir(s.MapPath), filepath.FromSlash(paths[i])))
		return err
	})
	hashes := map[string]string{}
	for i, path := range paths {
		hashes[path] = sums[i]
	}
	if err == nil {
		hashes[s.MapPath], err = decode.Hash(s.MapPath)
	}
	return hashes, err
}
