// Package testbrowser is for tests: a browser without a window, and what an accessible page owes its readers in it.
// Open starts Chromium, Look chooses width and colours, Outside lists what a page fetches from elsewhere, and
// Shortfalls holds the page that lies open against the Web Content Accessibility Guidelines 2.2. What else a test does
// in the browser it does with chromedp, on Open's context.
package testbrowser

import (
	"context"
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// Debian's name of the program first.
var programs = []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable"}

// hungAfter ends a browser that no longer answers, so that a test fails instead of waiting for ever.
const hungAfter = 2 * time.Minute

// Open starts a browser and returns the context of its one empty tab, for chromedp.Do and chromedp.Run. The browser
// ends with the test. Where there is none, the test is left out, or fails if LAPSTRAKE_BROWSER is "required".
func Open(t testing.TB) context.Context {
	t.Helper()
	path := ""
	for _, program := range programs {
		if found, err := exec.LookPath(program); err == nil && path == "" {
			path = found
		}
	}
	switch {
	case path == "" && os.Getenv("LAPSTRAKE_BROWSER") == "required":
		t.Fatal("no browser: install chromium")
	case path == "":
		t.Skip("no browser: install chromium to run this test")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path),
		chromedp.NoSandbox) // the tests may run as root, which Chromium's sandbox refuses
	alive, end := context.WithTimeout(context.Background(), hungAfter)
	browser, endBrowser := chromedp.NewExecAllocator(alive, options...)
	tab, closeTab := chromedp.NewContext(browser)
	t.Cleanup(func() {
		closeTab()
		endBrowser()
		end()
	})
	if err := chromedp.Do(tab); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return tab
}

// Look gives the tab a width, in CSS pixels, and the colours that a reader prefers.
func Look(widthPx int64, dark bool) chromedp.Action[chromedp.Void] {
	const heightPx = 800
	colours := emulation.MediaFeature{Name: "prefers-color-scheme", Value: "light"}
	if dark {
		colours.Value = "dark"
	}
	return chromedp.Steps(chromedp.EmulateViewport(widthPx, heightPx), chromedp.Func(
		func(ctx context.Context, _ *chromedp.Target) error {
			_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia,
				emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{&colours}})
			return err
		}))
}
