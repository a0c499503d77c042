// What a page lacks for its readers.

package testbrowser

import (
	"context"
	_ "embed"
	"fmt"
	"slices"
	"testing"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/chromedp"
)

//go:embed shortfalls.js
var shortfallsScript string

// namedRoles are those of what a reader works with, which has to have a name.
var namedRoles = []string{
	"button", "link", "slider", "textbox", "searchbox", "checkbox", "radio", "combobox", "listbox",
	"spinbutton", "switch",
	"tab", "menuitem", "image", "img", "figure", "region", "dialog",
}

// Shortfalls holds the page that lies open, as wide and in the colours that it has now, against these success criteria
// of the Web Content Accessibility Guidelines 2.2, and returns a line for each that it falls short of: the contrast of
// text (1.4.3) and of what tells controls (1.4.11, borders of buttons and fields), reflow without a bar for scrolling
// sideways (1.4.10), title (2.4.2), size of targets (2.5.8), language (3.1.1), names (4.1.2), headings that leave out
// no level (common practice). It sees neither text in pictures nor what a script would show later.
func Shortfalls(t testing.TB, tab context.Context) []string {
	t.Helper()
	lines, err := chromedp.Run(tab, chromedp.Evaluate[[]string](shortfallsScript))
	if err != nil {
		t.Fatal(err)
	}
	tree, err := chromedp.Call(tab, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
	if err != nil {
		t.Fatal(err)
	}
	for _, node := range tree.Nodes {
		role, name := text(node.Role), text(node.Name)
		if !node.Ignored && name == "" && slices.Contains(namedRoles, role) {
			lines = append(lines, fmt.Sprintf("4.1.2: a %s has no name", role))
		}
	}
	return lines
}

func text(value *accessibility.Value) string {
	if value == nil || len(value.Value) < 2 || value.Value[0] != '"' {
		return ""
	}
	return string(value.Value[1 : len(value.Value)-1])
}
