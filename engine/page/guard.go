// Who may ask: the holder of the token, from this page, under this machine's own name.

package page

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/hex"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"sync/atomic"
)

const tokenBytes = 16 // 128 bits

// guard lets requests through that carry the cookie, which the token of the first address is exchanged for. A name
// that somebody else's server resolves to this machine is no name of the page (DNS rebinding): Host has to be its
// address in numbers, or localhost. A page from elsewhere may neither ask nor open a socket: Origin has to be the
// page's own, and so has what browsers say of a request's site.
type guard struct {
	address netip.AddrPort
	open    bool // other machines may reach it
	token   string
	once    atomic.Pointer[string] // a token that opens the page one time
	cookie  string                 // name
	secret  string                 // its value
	rate    *bucket
}

func newGuard(listening net.Addr, a Address) *guard {
	address := listening.(*net.TCPAddr).AddrPort()
	return &guard{address: netip.AddrPortFrom(address.Addr().Unmap(), address.Port()), open: a.Open, token: secret(),
		secret: secret(), cookie: fmt.Sprintf("lapstrake_%d", address.Port()),
		rate: newBucket(requestsPerSec, requestsAtOnce)}
}

func secret() string {
	var bytes [tokenBytes]byte
	rand.Read(bytes[:]) // never fails: it ends the program first
	return hex.EncodeToString(bytes[:])
}

// firstURL is the address with the token. Where the page listens on all of the machine's addresses, it names the
// loopback.
func (g *guard) firstURL() string {
	at := g.address
	if at.Addr().IsUnspecified() {
		at = netip.AddrPortFrom(netip.AddrFrom4([4]byte{127, 0, 0, 1}), at.Port())
	}
	return fmt.Sprintf("http://%s/?token=%s", at, g.token)
}

// onceURL is an address that opens the page one time alone: others on this machine may read what programs are told.
func (g *guard) onceURL() string {
	once := secret()
	g.once.Store(&once)
	return strings.Replace(g.firstURL(), g.token, once, 1)
}

// protect answers only requests that are allowed, and says with each answer what a browser may do with it.
func (g *guard) protect(inside http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		setHeaders(w.Header(), r.Host)
		switch {
		case !g.rate.take():
			http.Error(w, "too many requests", http.StatusTooManyRequests)
		case r.Method != http.MethodGet && r.Method != http.MethodHead:
			http.Error(w, "the page is only read", http.StatusMethodNotAllowed)
		case !g.isHost(r.Host):
			http.Error(w, "this is no name of the page", http.StatusForbidden)
		case foreign(r):
			http.Error(w, "another page may not ask here", http.StatusForbidden)
		case g.bringsToken(r):
			http.SetCookie(w, &http.Cookie{Name: g.cookie, Value: g.secret, Path: "/", HttpOnly: true,
				SameSite: http.SameSiteStrictMode})
			inside.ServeHTTP(w, r)
		case !g.holdsCookie(r):
			http.Error(w, "open the address that the player printed: it holds the token", http.StatusForbidden)
		default:
			inside.ServeHTTP(w, r)
		}
	})
}

// isHost says whether a request names the page by its address. An address in numbers is never resolved, so that no
// foreign name comes through.
func (g *guard) isHost(host string) bool {
	if host == fmt.Sprintf("localhost:%d", g.address.Port()) {
		return !g.open
	}
	named, err := netip.ParseAddrPort(host)
	if err != nil || named.Port() != g.address.Port() {
		return false
	}
	return named == g.address || g.open && g.address.Addr().IsUnspecified()
}

// foreign says whether a request comes from a page of another origin.
func foreign(r *http.Request) bool {
	if origins := r.Header.Values("Origin"); len(origins) > 1 || len(origins) == 1 && origins[0] != "http://"+r.Host {
		return true
	}
	site := r.Header.Get("Sec-Fetch-Site")
	if r.URL.Path == "/" && r.Header.Get("Sec-Fetch-Mode") == "navigate" &&
		r.Header.Get("Sec-Fetch-Dest") == "document" {
		return false // a person follows the printed address, from wherever it stands; the token decides
	}
	return site != "" && site != "same-origin" && site != "none"
}

func (g *guard) bringsToken(r *http.Request) bool {
	brought := r.URL.Query().Get("token")
	if once := g.once.Load(); once != nil && r.URL.Path == "/" && same(brought, *once) {
		return g.once.CompareAndSwap(once, nil)
	}
	return r.URL.Path == "/" && same(brought, g.token)
}

func (g *guard) holdsCookie(r *http.Request) bool {
	cookie, err := r.Cookie(g.cookie)
	return err == nil && same(cookie.Value, g.secret)
}

func same(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

// setHeaders: nothing from outside, nothing inline, in nobody's frame, kept nowhere. A socket's address is named,
// since some browsers do not count it among 'self'.
func setHeaders(h http.Header, host string) {
	socket := ""
	if !strings.ContainsAny(host, " ;,\"'") {
		socket = " ws://" + host
	}
	h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "+
		"media-src 'self'; connect-src 'self'"+socket+"; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
}
