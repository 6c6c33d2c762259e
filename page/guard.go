package page

import (
	"net/http"
	"slices"
)

// policy lets the page load what it serves itself, and nothing else.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// guard turns away whatever does not come from the page itself, and tells the
// browser to hold the page to its own house.
func (s *server) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		switch {
		case !slices.Contains(s.Hosts, r.Host): // a name that was made to lead here
			http.Error(w, "this page is served as "+s.Hosts[0]+" only; open it by the address that turnsole printed", http.StatusMisdirectedRequest)
		case !fromHere(r):
			http.Error(w, "another page asked for this; open it by the address that turnsole printed", http.StatusForbidden)
		default:
			next.ServeHTTP(w, r)
		}
	})
}

// fromHere reports whether a request comes from the page itself, or from the
// person. Browsers say so (Fetch Metadata, W3C); what says nothing may look but
// not send. Another page may at most lead here, and ask for nothing by it.
func fromHere(r *http.Request) bool {
	looks := r.Method == http.MethodGet || r.Method == http.MethodHead
	switch r.Header.Get("Sec-Fetch-Site") {
	case "cross-site", "same-site":
		return looks && r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.URL.RawQuery == ""
	case "none":
		return looks
	case "same-origin":
		return looks || sameOrigin(r)
	}
	return looks || r.Header.Get("Origin") != "" && sameOrigin(r)
}

// sameOrigin reports whether the origin, where one is told, is this page.
func sameOrigin(r *http.Request) bool {
	origin := r.Header.Get("Origin")
	return origin == "" || origin == "http://"+r.Host
}
