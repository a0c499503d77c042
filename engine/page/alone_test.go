// What the page of an export computes by itself is what the player computes.

package page

import (
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/chromedp/chromedp"

	"lapstrake/engine"
	"lapstrake/engine/testbrowser"
	"lapstrake/mapping/pages"
)

// aloneModule evaluates an expression on a module of the page, called it.
func aloneModule[T any](t *testing.T, module, expression string) T {
	t.Helper()
	server := httptest.NewServer(http.FileServerFS(pages.Web()))
	t.Cleanup(server.Close)
	tab := testbrowser.Open(t)
	if err := chromedp.Do(tab, chromedp.Navigate(server.URL+"/icon.svg")); err != nil {
		t.Fatal(err)
	}
	value, err := chromedp.Run(tab, chromedp.Evaluate[T](fmt.Sprintf(`import(%q).then((it) => %s)`,
		server.URL+"/alone/"+module, expression), chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	return value
}

// A chord comes back on the page when it does for the player.
func TestAloneReturns(t *testing.T) {
	const rateHz = 48000
	for _, frames := range [][]int64{{168000}, {168000, 237588, 199767}, {1344000, 1344000, 1900703, 1508571}} {
		c := chord{beganFrame: 7}
		var secs []float64
		for _, f := range frames {
			c.steps = append(c.steps, stepped{f, 1 << 32})
			secs = append(secs, float64(f)/rateHz)
		}
		text, err := json.Marshal(secs)
		if err != nil {
			t.Fatal(err)
		}
		want := c.returns(rateHz)
		got := aloneModule[returnsTold](t, "returns.js", fmt.Sprintf("it.tellReturns(7, %s)", text))
		wanted, _ := json.Marshal(want)
		if is, _ := json.Marshal(got); string(is) != string(wanted) {
			t.Errorf("%v: the page tells %s, the player %s", frames, is, wanted)
		}
	}
}

// Under the page's ceiling a loud sound becomes what it becomes under the player's.
func TestAloneCeiling(t *testing.T) {
	const rateHz, frames = 48000, 24000
	got := aloneModule[[]float64](t, "ceiling.js", fmt.Sprintf(`{
		const ceiling = new it.Ceiling(%d);
		const mix = [0, 1].map((side) => Float32Array.from({ length: %d }, (_, i) => Math.sin(0.011 * i * (1 + side)) *
			(i %% 9000 < 4000 ? 2.5 : 0.2) + 0.6 * Math.sin(1.7 * i)));
		ceiling.process(mix, 0, %d);
		return [...mix[0], ...mix[1]];
	}`, rateHz, frames, frames))
	want := make([]float32, 2*frames)
	for k := range want {
		i, side := k/2, k%2
		level := 0.2
		if i%9000 < 4000 {
			level = 2.5
		}
		want[k] = float32(math.Sin(0.011*float64(i)*float64(1+side))*level + 0.6*math.Sin(1.7*float64(i)))
	}
	engine.NewCeiling(rateHz, engine.CeilingDBTP).Process(want)
	for k, sample := range want {
		if away := math.Abs(got[k%2*frames+k/2] - float64(sample)); !(away < 1e-4) {
			t.Fatalf("frame %d: the page has %v, the player %v", k/2, got[k%2*frames+k/2], sample)
		}
	}
}
