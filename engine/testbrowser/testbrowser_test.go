// What is planted is found, and a sound page is left alone.

package testbrowser_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"lapstrake/engine/testbrowser"
)

const soundPage = `<!doctype html><html lang="en"><head><title>Slipway</title>
<meta name="viewport" content="width=device-width">
<style>:root{color-scheme:light dark} body{background:#fff;color:#595959}
button{border:1px solid #595959;background:none}
@media (prefers-color-scheme: dark){body{background:#121212;color:#ccc}
button{border-color:#ccc;color:#ccc}}</style></head>
<body><h1>Slipway</h1><p>grey on paper</p><button style="width:3rem;height:2rem">haul</button>%s</body></html>`

// The greys are of known contrast on white: #767676 has 4.54 and #777777 4.48 (the pair is the usual example of the
// limit; computed again from WCAG's formula).
func TestPlantedShortfallsAreFound(t *testing.T) {
	tab := testbrowser.Open(t)
	served := ""
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		fmt.Fprint(w, served)
	}))
	defer server.Close()
	for _, c := range []struct{ planted, want string }{
		{``, ``},
		{`<p style="color:#767676">faint</p>`, ``},
		{`<p style="color:#777777">faint</p>`, `1.4.3: contrast 4.48 of 4.5: <p> "faint"`},
		{`<p style="color:#000;opacity:.3">faint</p>`, `1.4.3: contrast 2.11 of 4.5: <p> "faint"`},
		{`<h2 style="color:#777777;font-size:24px">large</h2>`, ``},
		{`<p style="color:#fff">unseen</p>`, `1.4.3: contrast 1.00 of 4.5: <p> "unseen"`},
		{`<p style="background:#000;color:#fff">seen</p>`, ``},
		{`<svg role="img" aria-label="a" width="90" height="30"><text y="20" fill="#999">in</text></svg>`,
			`1.4.3: contrast 2.85 of 4.5: <text> "in"`},
		{`<button style="border-color:#ddd;width:3rem;height:2rem">pale</button>`,
			`1.4.11: contrast 1.36 of 3 around <button> "pale"`},
		{`<div style="width:999px">wide</div>`, `1.4.10: the page is 647 px wider than the window of 360 px`},
		{`<button style="width:20px;height:20px;padding:0">x</button>` +
			`<button style="width:20px;height:20px;padding:0">y</button>`,
			`2.5.8: 20 by 20 px, with another beside it: <button> "x"` + "\n" +
				`2.5.8: 20 by 20 px, with another beside it: <button> "y"`},
		{`<button style="width:3rem;height:2rem"></button>`, `4.1.2: a button has no name`},
		{`<input type="range" min="0" max="1" style="height:2rem">`, `4.1.2: a slider has no name`},
		{`<h4>deep</h4>`, `headings: level 4 follows 1: <h4> "deep"`},
	} {
		served = fmt.Sprintf(soundPage, c.planted)
		if err := chromedp.Do(tab, testbrowser.Look(360, false), chromedp.Navigate(server.URL)); err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(testbrowser.Shortfalls(t, tab), "\n"); got != c.want {
			t.Errorf("%s\ngives %q\nand not %q", c.planted, got, c.want)
		}
	}
	served = strings.NewReplacer(` lang="en"`, "", "<title>Slipway</title>", "").Replace(fmt.Sprintf(soundPage, ""))
	if err := chromedp.Do(tab, chromedp.Navigate(server.URL)); err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(testbrowser.Shortfalls(t, tab), "\n"); !strings.Contains(got, "3.1.1") ||
		!strings.Contains(got, "2.4.2") {
		t.Errorf("without language and title: %q", got)
	}
	// What is sound in light is not in dark.
	served = fmt.Sprintf(soundPage, `<p style="color:#595959">faint</p>`)
	if err := chromedp.Do(tab, testbrowser.Look(360, true), chromedp.Navigate(server.URL)); err != nil {
		t.Fatal(err)
	}
	if got := testbrowser.Shortfalls(t, tab); len(got) != 1 || !strings.HasPrefix(got[0], "1.4.3") {
		t.Errorf("in dark: %q", got)
	}
}

func TestWhatComesFromOutsideIsListed(t *testing.T) {
	tab := testbrowser.Open(t)
	elsewhere := httptest.NewServer(http.NotFoundHandler())
	defer elsewhere.Close()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html")
		fmt.Fprintf(w, `<title>a</title><img src="data:image/gif;base64,R0lGODlhAQABAAAAACw="><img src="/own.png">`+
			`<img src="%s/far.png">`, elsewhere.URL)
	}))
	defer server.Close()
	outside := testbrowser.Outside(t, tab, server.URL)
	if err := chromedp.Do(tab, chromedp.Navigate(server.URL)); err != nil {
		t.Fatal(err)
	}
	if got := outside(); len(got) != 1 || got[0] != elsewhere.URL+"/far.png" {
		t.Errorf("asked for %q", got)
	}
}
