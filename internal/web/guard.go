package web

import (
	"net"
	"net/http"
	"slices"
	"strings"
)

// largestForm is the most that a form may send: a hundred pages of notes.
const largestForm = 512 << 10 // bytes

// policy lets a page load what is ours and nothing else: no script or style within the
// page, no frame around it, no form sent elsewhere.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; " +
	"connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// guard refuses who may not ask. A page of another site in the same browser can reach
// this machine too: it is refused by its origin, and, if it had a name of its own pointed
// here, by the host it asks for.
func (s *Server) guard(next http.Handler) http.Handler {
	return http.NewCrossOriginProtection().Handler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		if !s.knows(r.Host) {
			http.Error(w, "this is not the address that Skep was started for", http.StatusMisdirectedRequest)
			return
		}
		largest := int64(largestForm)
		if r.URL.Path == takePath {
			largest = largestFile
		}
		r.Body = http.MaxBytesReader(w, r.Body, largest)
		next.ServeHTTP(w, r)
	}))
}

// knows says whether a Host header names this server.
func (s *Server) knows(host string) bool {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	host = strings.ToLower(strings.Trim(host, "[]"))
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback() || slices.Contains(s.options.Hosts, host)
}
