// What the page serves.

package page

import (
	"io/fs"
	"net/http"
	"strings"

	"lapstrake/mapping/pages"
)

// routes are all that a visitor may ask for; the guard stands before them.
func (p *Page) routes() http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /", onlyFiles(pages.Web()))
	mux.HandleFunc("GET /socket", p.visit)
	mux.HandleFunc("GET /sketch", p.sketch)
	return mux
}

// onlyFiles serves files and lists no folders.
func onlyFiles(files fs.FS) http.Handler {
	server := http.FileServerFS(files)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if name := strings.TrimPrefix(r.URL.Path, "/"); name != "" {
			if info, err := fs.Stat(files, name); err != nil || info.IsDir() {
				http.Error(w, "there is no such file", http.StatusNotFound)
				return
			}
		}
		server.ServeHTTP(w, r)
	})
}
