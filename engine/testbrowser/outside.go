// What a page fetches.

package testbrowser

import (
	"context"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// Outside watches a tab from now on. What it returns lists, at any later time, the addresses that the tab has asked
// for and that begin with none of the given ones; data within the page is never outside.
func Outside(t testing.TB, tab context.Context, inside ...string) func() []string {
	t.Helper()
	inside = append(inside, "data:", "blob:", "about:")
	var mutex sync.Mutex
	var asked []string
	note := func(address string) {
		if slices.ContainsFunc(inside, func(start string) bool { return strings.HasPrefix(address, start) }) {
			return
		}
		mutex.Lock()
		defer mutex.Unlock()
		asked = append(asked, address)
	}
	err := chromedp.Listen(tab, func(event any) {
		switch e := event.(type) {
		case *network.EventRequestWillBeSent:
			note(e.Request.URL)
		case *network.EventWebSocketCreated:
			note(e.URL)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	return func() []string {
		mutex.Lock()
		defer mutex.Unlock()
		return slices.Clone(asked)
	}
}
