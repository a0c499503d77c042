// The report in a browser, as a collaborator opens it.

package check_test

import (
	"bytes"
	"context"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"lapstrake/engine/check"
	"lapstrake/engine/testbrowser"
)

// reportFile writes the page of a map with faults of many kinds, sounds included, and returns its address.
func reportFile(t *testing.T) (address string) {
	t.Helper()
	in := faultyYard(34).open(t)
	in.Keys = []int{60, 72}
	report := run(t, in)
	clips, _, err := check.Clips(context.Background(), in, report, nil)
	if err != nil {
		t.Fatal(err)
	}
	page := pageOf(t, report, check.Page{Title: "Yard", Map: "estuary/map.toml", Counts: "so many", Clips: clips})
	path := filepath.Join(t.TempDir(), "report.html")
	if err := os.WriteFile(path, []byte(page), 0o666); err != nil {
		t.Fatal(err)
	}
	return (&url.URL{Scheme: "file", Path: path}).String()
}

// The page opens without a network, asks for nothing, and falls short of no criterion that the test browser knows, on
// a telephone of 360 px and on a screen, in light and in dark. Everything that folds is open for it.
func TestReportInABrowser(t *testing.T) {
	address := reportFile(t)
	tab := testbrowser.Open(t)
	outside := testbrowser.Outside(t, tab, address)
	offline := network.OverrideNetworkStateParams{Offline: true}
	if _, err := chromedp.Call(tab, network.OverrideNetworkState, offline); err != nil {
		t.Fatal(err)
	}
	for _, widthPx := range []int64{360, 1280} {
		for _, dark := range []bool{false, true} {
			err := chromedp.Do(tab, testbrowser.Look(widthPx, dark), chromedp.Navigate(address),
				chromedp.Evaluate[chromedp.Void](
					`document.querySelectorAll("details").forEach(each => each.open = true)`))
			if err != nil {
				t.Fatal(err)
			}
			for _, line := range testbrowser.Shortfalls(t, tab) {
				t.Errorf("%d px, dark %v: %s", widthPx, dark, line)
			}
		}
	}
	sortTables(t, tab)
	printPage(t, tab)
	if asked := outside(); len(asked) > 0 {
		t.Errorf("the page asks for %q", asked)
	}
}

// column reads what a table's column sorts by, from the top to the bottom row.
const column = `[...document.querySelectorAll(%table)[0].tBodies[0].rows].map(row =>
	row.cells[%column].dataset.value ?? row.cells[%column].textContent)`

// sortTables sorts the table of all checks and that of a check's findings: by click, and again by keyboard alone.
func sortTables(t *testing.T, tab context.Context) {
	t.Helper()
	for _, c := range []struct {
		table  string
		column int
	}{{"table.glance", 0}, {"table.glance", 2}, {"section:has(#evenness) table", 3}} {
		read := func() []string {
			script := strings.NewReplacer("%table", strconv.Quote(c.table), "%column",
				strconv.Itoa(c.column)).Replace(column)
			values, err := chromedp.Run(tab, chromedp.Evaluate[[]string](script))
			if err != nil {
				t.Fatal(err)
			}
			return values
		}
		sorted := func(up bool) bool {
			return slices.IsSortedFunc(read(), func(a, b string) int {
				x, errX := strconv.ParseFloat(a, 64)
				y, errY := strconv.ParseFloat(b, 64)
				order := strings.Compare(a, b)
				if errX == nil && errY == nil {
					order = int(max(min((x-y)*1e9, 1), -1))
				}
				if !up {
					order = -order
				}
				return order
			})
		}
		before := read()
		head := c.table + " thead th:nth-child(" + strconv.Itoa(c.column+1) + ")"
		state := func() string {
			said, err := chromedp.Run(tab, chromedp.AttributeValue(chromedp.CSS(head), "aria-sort"))
			if err != nil {
				t.Fatal(err)
			}
			return said.Value
		}
		if len(before) < 2 {
			t.Fatalf("%s has %d rows: nothing to sort", c.table, len(before))
		}
		press := func(what string, action ...chromedp.Action[chromedp.Void]) {
			if err := chromedp.Do(tab, action...); err != nil {
				t.Fatalf("%s %s: %v", what, head, err)
			}
		}
		press("click", chromedp.Click(chromedp.CSS(head+" button")))
		if !sorted(true) || state() != "ascending" {
			t.Errorf("%s: a click on column %d gives %q, %s", c.table, c.column, read(), state())
		}
		press("enter", chromedp.Focus(chromedp.CSS(head+" button")), chromedp.KeyEvent("\r"))
		if !sorted(false) || state() != "descending" {
			t.Errorf("%s: Enter on column %d gives %q, %s", c.table, c.column, read(), state())
		}
		press("space", chromedp.KeyEvent(" "))
		if !sorted(true) || state() != "ascending" {
			t.Errorf("%s: Space on column %d gives %q, %s", c.table, c.column, read(), state())
		}
		after := read()
		slices.Sort(before)
		if slices.Sort(after); !slices.Equal(before, after) {
			t.Errorf("%s: rows got lost in sorting", c.table)
		}
	}
}

// printPage prints the page, with all that folds.
func printPage(t *testing.T, tab context.Context) {
	t.Helper()
	pdf, err := chromedp.Run(tab, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize()))
	if err != nil {
		t.Fatal(err)
	}
	if pages := bytes.Count(pdf, []byte("/Type /Page\n")); !bytes.HasPrefix(pdf, []byte("%PDF-")) || pages < 5 {
		t.Errorf("printed %d pages in %d bytes", pages, len(pdf))
	}
}
