// Package pages holds what pages in browsers are made of: modules of JavaScript, which a browser takes as they are,
// and style sheets. The live page serves them; an export joins some of them into a page that plays without a player.
package pages

import (
	"embed"
	"io/fs"
)

//go:embed web
var embedded embed.FS

// Web are the files, named as the live page's addresses name them.
func Web() fs.FS {
	files, err := fs.Sub(embedded, "web")
	if err != nil {
		panic(err) // the name is that of the folder above
	}
	return files
}
