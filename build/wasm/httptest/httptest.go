// Package httptest stands in for net/http/httptest in the browser program, as
// package http does for net/http.
package httptest

import "net/http"

// Server is none.
type Server struct{ URL string }

// NewServer starts nothing.
func NewServer(http.Handler) *Server { return &Server{} }

// Close ends nothing.
func (*Server) Close() {}
