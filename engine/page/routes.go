// What the page serves.

package page

import (
	"embed"
	"io/fs"
	"net/http"
)

//go:embed web
var web embed.FS

// routes are all that a visitor may ask for; the guard stands before them.
func (p *Page) routes() http.Handler {
	files, err := fs.Sub(web, "web")
	if err != nil {
		panic(err) // the name is that of the folder above
	}
	mux := http.NewServeMux()
	mux.Handle("GET /", http.FileServerFS(files))
	mux.HandleFunc("GET /socket", p.visit)
	return mux
}
