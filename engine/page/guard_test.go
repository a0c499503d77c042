// Only the holder of the token is answered, under the page's own address, from the page's own origin.

package page

import (
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"
)

// ask makes one request of a page; a header "Host" names the page otherwise, "Cookie" is left as it is.
func (p *played) ask(t testing.TB, method, path string, headers map[string]string) *http.Response {
	t.Helper()
	request, err := http.NewRequest(method, "http://"+p.guard.address.String()+path, nil)
	if err != nil {
		t.Fatal(err)
	}
	for name, value := range headers {
		if name == "Host" {
			request.Host = value
		} else {
			request.Header.Set(name, value)
		}
	}
	response, err := http.DefaultTransport.RoundTrip(request)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { response.Body.Close() })
	return response
}

// key is the cookie that the token was exchanged for.
func (p *played) key(t testing.TB) string {
	t.Helper()
	address, err := url.Parse(p.URL())
	if err != nil {
		t.Fatal(err)
	}
	cookies := p.ask(t, "GET", address.RequestURI(), nil).Cookies()
	if len(cookies) != 1 {
		t.Fatalf("%d cookies for the token", len(cookies))
	}
	if c := cookies[0]; !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Domain != "" || len(c.Value) < 32 {
		t.Errorf("the cookie %v: expected it strict, for HTTP only, for this host only, of 128 bits", c)
	}
	return cookies[0].Name + "=" + cookies[0].Value
}

func TestOnlyTheHolderOfTheTokenIsAnswered(t *testing.T) {
	p := play(t, newProject(t))
	key := p.key(t)
	own := p.guard.address.String()
	port := p.guard.address.Port()
	if !strings.HasPrefix(own, "127.0.0.1:") || port == 0 {
		t.Errorf("listens on %s", own)
	}
	for _, c := range []struct {
		what, method, path string
		headers            map[string]string
		status             int
	}{
		{"the page", "GET", "/", map[string]string{"Cookie": key}, 200},
		{"a module of it", "GET", "/main.js", map[string]string{"Cookie": key, "Sec-Fetch-Site": "same-origin"}, 200},
		{"under localhost", "GET", "/", map[string]string{"Cookie": key, "Host": fmt.Sprintf("localhost:%d", port)},
			200},
		{"without a cookie", "GET", "/", nil, 403},
		{"without a cookie, a module", "GET", "/main.js", nil, 403},
		{"with a wrong token", "GET", "/?token=" + strings.Repeat("0", 32), nil, 403},
		{"with an empty token", "GET", "/?token=", nil, 403},
		{"with the token for another path", "GET", "/main.js?token=" + p.guard.token, nil, 403},
		{"with a wrong cookie", "GET", "/", map[string]string{"Cookie": key + "0"}, 403},
		{"with an empty cookie", "GET", "/", map[string]string{"Cookie": p.guard.cookie + "="}, 403},
		// A name that an attacker's server resolves to 127.0.0.1 (DNS rebinding).
		{"under a foreign name", "GET", "/", map[string]string{"Cookie": key,
			"Host": fmt.Sprintf("quay.example:%d", port)}, 403},
		{"under a name like the own", "GET", "/", map[string]string{"Cookie": key, "Host": own + ".quay.example"},
			403},
		{"under another port", "GET", "/", map[string]string{"Cookie": key, "Host": "127.0.0.1:1"}, 403},
		{"without a port", "GET", "/", map[string]string{"Cookie": key, "Host": "127.0.0.1"}, 403},
		{"under another loopback", "GET", "/",
			map[string]string{"Cookie": key, "Host": fmt.Sprintf("127.0.0.2:%d", port)}, 403},
		{"from a foreign page", "GET", "/", map[string]string{"Cookie": key, "Origin": "http://quay.example"}, 403},
		{"from a file", "GET", "/main.js", map[string]string{"Cookie": key, "Origin": "null"}, 403},
		{"from another port's page", "GET", "/main.js",
			map[string]string{"Cookie": key, "Origin": "http://127.0.0.1:1"}, 403},
		{"into a foreign page", "GET", "/main.js", map[string]string{"Cookie": key, "Sec-Fetch-Site": "cross-site"},
			403},
		{"into a page of the same site", "GET", "/main.js",
			map[string]string{"Cookie": key, "Sec-Fetch-Site": "same-site"}, 403},
		{"to change something", "POST", "/", map[string]string{"Cookie": key}, 405},
		{"what is not there", "GET", "/guard.go", map[string]string{"Cookie": key}, 404},
		{"a socket without a cookie", "GET", "/socket", map[string]string{"Origin": "http://" + own}, 403},
		{"a socket without an origin", "GET", "/socket", map[string]string{"Cookie": key}, 403},
		{"a socket from a foreign page", "GET", "/socket",
			map[string]string{"Cookie": key, "Origin": "http://quay.example"}, 403},
	} {
		t.Run(c.what, func(t *testing.T) {
			response := p.ask(t, c.method, c.path, c.headers)
			if response.StatusCode != c.status {
				body, _ := io.ReadAll(response.Body)
				t.Errorf("%s %s: %d %q, want %d", c.method, c.path, response.StatusCode, body, c.status)
			}
			policy := response.Header.Get("Content-Security-Policy")
			if !strings.HasPrefix(policy, "default-src 'none'; script-src 'self'; style-src 'self'") ||
				strings.Contains(policy, "unsafe") {
				t.Errorf("policy %q", policy)
			}
			if got := response.Header.Get("Cache-Control"); got != "no-store" {
				t.Errorf("may be kept: %q", got)
			}
		})
	}
	if p.Visitors() != 0 {
		t.Errorf("%d visitors came in", p.Visitors())
	}
}

// The address that a browser is told opens the page one time, whoever reads it.
func TestOneVisitAnAddress(t *testing.T) {
	p := play(t, newProject(t))
	before, address := p.OnceURL(), p.OnceURL()
	if address == p.URL() || strings.Contains(address, p.guard.token) {
		t.Errorf("%s tells the token that lasts", address)
	}
	status := func(address string) int {
		at, err := url.Parse(address)
		if err != nil {
			t.Fatal(err)
		}
		return p.ask(t, "GET", at.RequestURI(), nil).StatusCode
	}
	for _, c := range []struct {
		address string
		want    int
	}{{before, 403}, {address, 200}, {address, 403}, {p.URL(), 200}} {
		if got := status(c.address); got != c.want {
			t.Errorf("%s: %d, want %d", c.address, got, c.want)
		}
	}
}

// dial opens a socket as the page does.
func (p *played) dial(t testing.TB, key string) (*websocket.Conn, error) {
	t.Helper()
	own := p.guard.address.String()
	conn, _, err := websocket.Dial(t.Context(), "ws://"+own+"/socket", &websocket.DialOptions{
		HTTPHeader: http.Header{"Cookie": {key}, "Origin": {"http://" + own}},
	})
	if err == nil {
		conn.SetReadLimit(1 << 20)
		t.Cleanup(func() { conn.CloseNow() })
	}
	return conn, err
}

// No more come in than there are inputs for, and a place is free again when one leaves.
func TestVisitorsAreFew(t *testing.T) {
	p := play(t, newProject(t))
	key := p.key(t)
	var in []*websocket.Conn
	for range mostVisitors {
		conn, err := p.dial(t, key)
		if err != nil {
			t.Fatal(err)
		}
		in = append(in, conn)
	}
	if _, err := p.dial(t, key); err == nil {
		t.Fatalf("%d visitors came in", mostVisitors+1)
	}
	in[0].CloseNow()
	await(t, "one has left", func() bool { return p.Visitors() < mostVisitors })
	if _, err := p.dial(t, key); err != nil {
		t.Error(err)
	}
}

func TestRequestsAreLimited(t *testing.T) {
	now := time.Now()
	b := newBucket(2, 3)
	b.counted, b.nowClock = now, func() time.Time { return now }
	took := func() (count int) {
		for b.take() {
			count++
		}
		return count
	}
	if first := took(); first != 3 {
		t.Errorf("%d at once, want 3", first)
	}
	now = now.Add(time.Second)
	if then := took(); then != 2 {
		t.Errorf("%d after a second, want 2", then)
	}
	now = now.Add(time.Hour)
	if rested := took(); rested != 3 {
		t.Errorf("%d after a rest, want 3", rested)
	}
}

func TestAddressesThatOthersReachAreRefused(t *testing.T) {
	for _, c := range []struct {
		text string
		open bool
		want string // "" is an error
	}{
		{"", false, ":0"},
		{"127.0.0.1:8080", false, "127.0.0.1:8080"},
		{"localhost:0", false, "localhost:0"},
		{"[::1]:9000", false, "::1:9000"},
		{"127.9.9.9:1", false, "127.9.9.9:1"}, // RFC 1122, 3.2.1.3: all of 127/8 is the loopback
		{"0.0.0.0:8080", false, ""},
		{":8080", false, ":8080"}, // no host is the loopback, not all addresses
		{"192.168.1.4:8080", false, ""},
		{"quay.example:8080", false, ""},
		{"quay.example:8080", true, ""},
		{"0.0.0.0:8080", true, "0.0.0.0:8080"},
		{"192.168.1.4:8080", true, "192.168.1.4:8080"},
		{"127.0.0.1", false, ""},
		{"127.0.0.1:http", false, ""},
		{"127.0.0.1:65536", false, ""},
	} {
		a, err := ParseAddress(c.text, c.open)
		got := ""
		if err == nil {
			got = fmt.Sprintf("%s:%d", a.Host, a.Port)
		}
		if got != c.want {
			t.Errorf("%q, open %v: %q (%v), want %q", c.text, c.open, got, err, c.want)
		}
	}
}
