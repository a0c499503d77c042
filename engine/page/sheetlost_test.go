// The sheet edited from the page and in a spreadsheet at the same time.

package page

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"

	"github.com/coder/websocket"

	"lapstrake/mapping/project"
)

// Five hundred edits, at random from the page, each from what it last saw, and from a spreadsheet that opens and saves
// the whole sheet. What the page was told is kept is there, until somebody changes that very cell again; what it was
// refused, somebody else had changed; and nothing that the spreadsheet wrote is lost.
func TestNoEditOfPageOrSpreadsheetIsLost(t *testing.T) {
	path := withTakes(t, 6)
	p := play(t, path)
	conn, err := p.dial(t, p.key(t))
	if err != nil {
		t.Fatal(err)
	}
	conn.SetReadLimit(1 << 22)
	random := rand.New(rand.NewPCG(15, 6))
	file := filepath.Join(filepath.Dir(path), project.SheetFile)
	type cell struct {
		row   int
		title bool // or else the remarks
	}
	var said, seen [6][2]string // what the sheet has to say, and what the page has seen
	at := func(c cell) (row, column int) {
		if c.title {
			return c.row, 0
		}
		return c.row, 1
	}
	for row, r := range sheetOf(t, path).Rows {
		said[row] = [2]string{r.Title, r.Remarks}
	}
	seen = said
	kept, refused, typed := 0, 0, 0
	for n := range 500 {
		c := cell{random.IntN(6), random.IntN(2) == 0}
		row, column := at(c)
		to := fmt.Sprintf("%d; \"ö\", %d", n, random.IntN(10))
		switch random.IntN(3) {
		case 0: // the spreadsheet
			sheet := sheetOf(t, path)
			if c.title {
				sheet.Rows[row].Title = to
			} else {
				sheet.Rows[row].Remarks = to
			}
			if err := sheet.Save(file); err != nil {
				t.Fatal(err)
			}
			said[row][column] = to
			typed++
		default:
			if random.IntN(3) == 0 {
				seen = said // the page was told
			}
			say(t, conn, map[string]any{"do": "edit", "take": sheetOf(t, path).Rows[row].Name(),
				"column": []string{"title", "remarks"}[column], "from": seen[row][column], "to": to})
			told := editTold(t, conn)
			if stale := seen[row][column] != said[row][column]; stale != (told.Error != "") {
				t.Fatalf("edit %d of a cell that is %q and was seen as %q: %q", n, said[row][column], seen[row][column],
					told.Error)
			}
			if told.Error != "" {
				refused++
				seen[row][column] = said[row][column]
				break
			}
			said[row][column], seen[row][column] = to, to
			kept++
		}
		for i, r := range sheetOf(t, path).Rows {
			if got := [2]string{r.Title, r.Remarks}; got != said[i] {
				t.Fatalf("after edit %d, row %d says %q, want %q", n, i+2, got, said[i])
			}
		}
	}
	t.Logf("%d edits of the page kept, %d told and refused, %d of the spreadsheet", kept, refused, typed)
	if refused == 0 || kept == 0 {
		t.Error("not both ways were tried")
	}
}

// editTold is the answer to an edit.
func editTold(t *testing.T, conn *websocket.Conn) (told editedTold) {
	t.Helper()
	for {
		_, body, err := conn.Read(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if strings.HasPrefix(string(body), `{"told":"edited"`) {
			answer := struct{ What *editedTold }{&told}
			if err := json.Unmarshal(body, &answer); err != nil {
				t.Fatal(err)
			}
			return told
		}
	}
}
